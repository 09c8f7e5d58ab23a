"""Notices in the words that a teacher reads."""

from collections.abc import Iterable

from measure.notices import Notice
from tapeplat.wording.notice_words import words


def said(notices: Iterable[Notice]) -> tuple[str, ...]:
    return tuple(map(words, notices))
