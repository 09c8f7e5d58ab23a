"""In which line of a TOML file each key and each element of a list stands; the standard reader does not say."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

Path = tuple[str | int, ...]

_SPACE = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_HEADER = re.compile(r"(\[\[?)\s*([^\]\n]+?)\s*\]\]?")
_KEY = re.compile(r"""((?:[\w-]+|"[^"\n]*"|'[^'\n]*')(?:\s*\.\s*(?:[\w-]+|"[^"\n]*"|'[^'\n]*'))*)\s*=\s*""")
_KEY_PART = re.compile(r"""[\w-]+|"[^"\n]*"|'[^'\n]*'""")
_STRING = re.compile(
    r'"""(?:\\.|[^\\])*?"{3,5}' r"|'''.*?'{3,5}" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE = re.compile(r"""[^\s,\[\]{}"'#]+""")


@dataclass
class TomlLines:
    """Lines, counted from 1, of the paths of a well-formed TOML text: ("zone", 2, "swatch"), ("rules", 0)."""

    text: str
    _lines: dict[Path, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self._read()

    def of(self, path: Path) -> int:
        """The line of the path, or of the nearest part of it that the file has; 1 where it has none."""
        for length in range(len(path), 0, -1):
            if path[:length] in self._lines:
                return self._lines[path[:length]]
        return 1

    def _read(self) -> None:
        base: Path = ()
        at = self._skip(0)
        while at < len(self.text):
            header = _HEADER.match(self.text, at)
            key = _KEY.match(self.text, at)
            if header:
                base = self._table(_parts(header[2]), repeated=header[1] == "[[")
                self._note(base, at)
                at = header.end()
            elif key:
                path = (*base, *_parts(key[1]))
                self._note(path, at)
                at = self._value(key.end(), path)
            else:
                at += 1
            at = self._skip(at)

    def _table(self, names: Path, *, repeated: bool) -> Path:
        """The path of a header; every `[[zone]]` is one more element."""
        if not repeated:
            return names
        index = 0
        while (*names, index) in self._lines:
            index += 1
        return (*names, index)

    def _value(self, at: int, path: Path) -> int:
        """The end of the value that starts here; elements of a list are noted."""
        opening = self.text[at : at + 1]
        if opening not in ("[", "{"):
            return self._scalar(at)
        at, index = self._skip(at + 1), 0
        while at < len(self.text) and self.text[at] not in "]}":
            if self.text[at] == ",":
                at = self._skip(at + 1)
                continue
            key = _KEY.match(self.text, at) if opening == "{" else None
            inner = (*path, *_parts(key[1])) if key else (*path, index)
            self._note(inner, at)
            at = self._skip(self._value(key.end() if key else at, inner))
            index += 1
        return at + 1

    def _scalar(self, at: int) -> int:
        found = _STRING.match(self.text, at) or _BARE.match(self.text, at)
        return found.end() if found else at + 1

    def _skip(self, at: int) -> int:
        found = _SPACE.match(self.text, at)
        return found.end() if found else at

    def _note(self, path: Path, at: int) -> None:
        self._lines.setdefault(path, self.text.count("\n", 0, at) + 1)


def _parts(dotted: str) -> Path:
    return tuple(part.strip("\"'") for part in _KEY_PART.findall(dotted))
