"""Tables that people keep in a spreadsheet and save as CSV, read as they come out of it.

A byte order mark, semicolons or tabs between the cells, decimal commas, a `sep=;` line, capital letters in the header,
columns in another order, empty rows and trailing empty cells are all understood.  Rows are numbered as the spreadsheet
numbers them: the header is row 1.
"""

from __future__ import annotations

import csv
import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from measure.errors import InputMistakes, Mistake
from measure.file_content import Readable, bytes_of

LARGEST_FILE = 2_000_000
"""Bytes: a class's measurements are a few pages of text."""
_EMPTY = frozenset(("", "-", "–", "—", "n/a", "na", "none"))
_MONTH = r"(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?"
_DATE = re.compile(
    rf"\d{{1,2}}[-. ]?{_MONTH}(?:[-. ]?\d{{2,4}})?|{_MONTH}[-. ]?\d{{1,4}}|\d{{1,4}}([-./])\d{{1,2}}\1\d{{2,4}}",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class CsvRow:
    """One row: its number in the spreadsheet and its cells by column; a cell that says nothing is empty."""

    number: int
    cells: Mapping[str, str]

    def __getitem__(self, column: str) -> str:
        return self.cells.get(column, "")


@dataclass(frozen=True)
class CsvTable:
    """The rows of one file that are not empty. where(row) names a row in messages; warnings say what was inferred."""

    name: str
    rows: tuple[CsvRow, ...]
    delimiter: str
    warnings: tuple[str, ...] = ()

    def where(self, row: CsvRow) -> str:
        """`structures.csv, row 3`."""
        return f"{self.name}, row {row.number}"

    def plain_number(self, cell: str) -> str:
        """A cell's number with a decimal point.

        Raises ValueError for what a spreadsheet made into a date, and for a comma that may be a thousands mark.
        """
        if _DATE.fullmatch(cell):
            raise ValueError(
                f'"{cell}" is a date: the spreadsheet turned a fraction into it; '
                "make the column text and type the fraction again, or write it as a decimal (3/8 is 0.375)"
            )
        found = re.match(r"([+-]?)(\d*),(\d+)(?![\d,.])", cell)
        if found is None:
            return cell
        if len(found[3]) == 3 and found[2] not in ("", "0") and self.delimiter == ",":
            raise ValueError(f'"{cell}" can be read in two ways; write a decimal point, and no mark for thousands')
        return f"{found[1]}{found[2] or '0'}.{found[3]}{cell[found.end() :]}"


def read_csv(file: Readable, columns: Sequence[str], needed: Sequence[str]) -> CsvTable:
    """The table in a file that may have the given columns and must have the needed ones.

    Raises InputMistakes where the file cannot be read or its header or the number of a row's cells is wrong.
    """
    text, warnings = _text(file)
    delimiter, lines = _lines(file.name, text, columns)
    if not lines:
        raise InputMistakes([Mistake(file.name, "the file is empty", f"its first row is {','.join(columns)}")])
    header, wrong = _header(file.name, lines[0], columns, needed)
    unknown = [name for name in header if name and name not in columns]
    warnings += [f"{file.name}: column `{name}` is not used" for name in unknown]
    rows = []
    for number, cells in enumerate(lines[1:], start=2):
        if any(cell.strip() for cell in cells[len(header) :]):
            what = f"there are {len(cells)} cells under {len(header)} columns"
            do = "a decimal comma needs quotation marks around the number, or write a decimal point"
            wrong.append(Mistake(f"{file.name}, row {number}", what, do, number))
        elif any(cell.strip() for cell in cells):
            rows.append(CsvRow(number, {name: _cell(cell) for name, cell in zip(header, cells, strict=False) if name}))
    if wrong:
        raise InputMistakes(wrong)
    return CsvTable(file.name, tuple(rows), delimiter, tuple(warnings))


def _text(file: Readable) -> tuple[str, list[str]]:
    """The file's text; what spreadsheets write other than UTF-8 is read as the Windows letters, with a warning."""
    try:
        raw = bytes_of(file, LARGEST_FILE)
        if raw is None:
            what = "this is too large for a table of measurements"
            raise InputMistakes([Mistake(file.name, what, "name a CSV file")])
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise InputMistakes([Mistake(str(file), f"cannot be read: {reason}", "check the file's name")]) from None
    if raw[:2] == b"PK":
        do = 'in the spreadsheet choose "Save as" and the type CSV'
        raise InputMistakes([Mistake(file.name, "this is a spreadsheet's own file, not CSV", do)])
    encodings = ("utf-16",) if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else ("utf-8-sig", "cp1252")
    for encoding in encodings:
        try:
            text = raw.decode(encoding)
        except UnicodeDecodeError:
            continue
        if "\0" in text:
            break
        said = f"{file.name}: not saved as UTF-8; check names with accents, and fractions such as ⅜"
        return text, [said] if encoding == "cp1252" else []
    raise InputMistakes([Mistake(file.name, "this is not text", 'save the spreadsheet as "CSV UTF-8"')])


def _lines(file: str, text: str, columns: Sequence[str]) -> tuple[str, list[list[str]]]:
    """The delimiter that makes most sense of the header, and the cells of every row."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    marked = re.fullmatch(r'"?sep=(.)"?', lines[0].strip(), re.IGNORECASE)
    if marked or lines[0].strip() == "sep=":
        lines = lines[1:]
    delimiter = marked[1] if marked else max(",;\t", key=lambda sign: _known(lines[0], sign, columns))
    try:
        rows = list(csv.reader(lines, delimiter=delimiter, skipinitialspace=True))
    except csv.Error:
        raise InputMistakes([Mistake(file, "a quotation mark is opened and not closed")]) from None
    return delimiter, rows if any(cell.strip() for row in rows for cell in row) else []


def _known(header: str, delimiter: str, columns: Sequence[str]) -> int:
    return sum(_cell(cell).casefold() in columns for cell in next(csv.reader([header], delimiter=delimiter), []))


def _header(
    file: str, cells: Sequence[str], columns: Sequence[str], needed: Sequence[str]
) -> tuple[list[str], list[Mistake]]:
    """The columns' names, and what is wrong with them; empty cells at the end are no columns."""
    names = [" ".join(cell.split()).casefold() for cell in cells]
    while names and not names[-1]:
        names.pop()
    where, wrong = f"{file}, row 1", []
    missing = [name for name in columns if name not in names]
    for name in names:
        near = difflib.get_close_matches(re.sub(r"\(.*?\)", "", name).strip(), missing, 1, 0.75)
        if name not in columns and near:
            wrong.append(Mistake(where, f"there is a column `{name}`", f"did you mean `{near[0]}`?"))
    for name in dict.fromkeys(names):
        if name in columns and names.count(name) > 1:
            wrong.append(Mistake(where, f"column `{name}` is there twice", "leave one out"))
    absent = [name for name in needed if name in missing]
    if absent and not wrong:
        named = " and ".join(f"`{name}`" for name in absent)
        what = f"column {named} is missing" if len(absent) == 1 else f"columns {named} are missing"
        wrong.append(Mistake(where, what, f"the first row is {','.join(columns)}"))
    return names, wrong


def _cell(cell: str) -> str:
    plain = " ".join(cell.split())
    return "" if plain.casefold() in _EMPTY else plain
