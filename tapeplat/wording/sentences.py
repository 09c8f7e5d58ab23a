"""Words as a page's sentences."""

from __future__ import annotations


def sentence(text: str) -> str:
    """With a capital letter and a full stop."""
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?")) else ".")
