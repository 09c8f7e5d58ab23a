"""What other parts of the program say, for somebody who sees a page: without commands to type and names of files."""

from __future__ import annotations

import re

_COMMAND = r"(?<![\w-])--[a-z][\w-]*|\btapeplat [a-z]+\b|`(?:sheets|lens|measure|selfcheck) [^`]*`|\.toml\b"
_CLAUSE = re.compile(rf"\s*(?:[;,]\s|\()?(?:(?![;(]|\.\s).)*?(?:{_COMMAND})(?:(?![;)]|\.\s|\.$).)*\)?")
_FILE = re.compile(r"^[\w.-]+\.(?:toml|json|csv|geojson), ")


def without_commands(text: str) -> str:
    """The text without the parts of its sentences that name a command, an option or a challenge's file."""
    if not re.search(_COMMAND, text):
        return text
    left = re.sub(r"\.(?:\s*\.)+", ".", _CLAUSE.sub("", _FILE.sub("", text))).strip(" ;,")
    return left if re.search(r"\w", left) else ""
