"""What is wrong with a challenge's text that is no TOML, or not what was meant: slips of people and their keyboards."""

from __future__ import annotations

import re

from measure.errors import Mistake

DOUBLE = "every zone stands under [[zone]], in double brackets"
_SYNTAX = (
    (r"Illegal character '\\n'", "a quotation mark is missing at the end of the line"),
    (r"Unclosed array", "a comma between two entries, or the closing ], is missing"),
    (r"Cannot (?:overwrite|declare)", "this key or table is there twice"),
    (r"Expected '\]'", "the closing ] of the table's name is missing"),
    (r"Expected '='", "an = is missing after the key's name"),
    (
        r"Expected newline or end",
        "there is something after the value; texts stand in quotation marks, and lengths are decimals such as 4.5",
    ),
    (r"Invalid value", "the value after = is missing or not understood; texts stand in quotation marks"),
    (r"Invalid statement", "this is neither `key = value` nor a [table]"),
    (r"Unescaped '\\\\'", "write \\\\ for a backslash"),
)


_DECIMAL = re.compile(r"\d+(\.\d+)?")


def syntax_mistake(file: str, text: str, message: str) -> Mistake:
    """What is wrong with a text that is no TOML, of which the parser says this message."""
    found = re.search(r"\(at line (\d+), column \d+\)", message)
    line = int(found[1]) if found else text.rstrip().count("\n") + 1
    lines = text.splitlines()
    plain = _typing_slip(lines[line - 1] if text.strip() else "") or _other_slip(message)
    single = next((n for n, each in enumerate(lines, start=1) if _typing_slip(each) == DOUBLE), None)
    if single is not None and (plain == DOUBLE or re.search(r"Cannot (?:overwrite|declare)", message)):
        line, plain = single, DOUBLE  # said of the second zone, and wrong from the first on
    return Mistake(f"{file}, line {line}", plain, number=line)


def comma_slip(value: object) -> str:
    """What was meant by lengths that were typed with decimal commas, `[99,5, 79,6]` or in quotation marks."""
    if isinstance(value, str):
        typed = value.strip().replace(",", ".")
        return f"numbers stand without quotation marks: write {typed}" if _DECIMAL.fullmatch(typed) else ""
    if not isinstance(value, list) or not all(type(part) is int and part >= 0 for part in value):
        return ""
    if len(value) not in (2, 4) or (len(value) == 2 and value[1] > 9):
        return ""
    pairs = [f"{value[at]}.{value[at + 1]}" for at in range(0, len(value), 2)]
    meant = pairs[0] if len(pairs) == 1 else f"[{', '.join(pairs)}]"
    return f"a number has a decimal point, not a comma: write {meant}"


def _typing_slip(line: str) -> str:
    """What keyboards and word processors put in place of what TOML wants; nothing where the line has none of it."""
    marks = dict.fromkeys(re.findall("[“”„‟«»‘’‚]", re.sub(r'"[^"]*"', "", line.partition("#")[0])))
    if marks:
        return f'the quotation marks are typographic ones ({" ".join(marks)}); type plain ones (")'
    comma = re.search(r"=\s*(\d+),(\d+)\s*(#.*)?$", line)
    if comma:
        return f"a number has a decimal point, not a comma: write {comma[1]}.{comma[2]}"
    fraction = re.search(r"=\s*(\d+\s+)?(\d+)/(\d+)\s*(#.*)?$", line)
    if fraction and int(fraction[3]):
        decimal = int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3])
        return f"lengths are decimals here: write {decimal:g}"
    if re.fullmatch(r"\s*\[\s*zone\s*\]\s*(#.*)?", line, re.IGNORECASE):
        return DOUBLE
    return ""


def _other_slip(message: str) -> str:
    return next((said for pattern, said in _SYNTAX if re.search(pattern, message)), message.split(" (at")[0].lower())
