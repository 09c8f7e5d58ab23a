"""What a teacher's passphrase must be: long, and none of those that are tried first."""

from __future__ import annotations

import re

LEAST_PASSPHRASE = 12
_TRIED_FIRST = (
    "password", "passphrase", "passwort", "letmein", "welcome", "iloveyou", "qwerty", "qwertyuiop", "qwertz", "asdfgh",
    "asdfghjkl", "zxcvbnm", "admin", "administrator", "teacher", "school", "classroom", "student", "pupil", "tapeplat",
    "football", "baseball", "basketball", "sunshine", "princess", "monkey", "dragon", "master", "superman", "batman",
    "trustno1", "whatever", "computer", "internet", "secret", "changeme", "default", "test", "guest", "hello", "login",
    "correcthorsebatterystaple", "abc", "abcdef", "abcdefgh", "google", "summer", "winter", "spring", "autumn",
    "mustang",
)  # fmt: skip
"""Words that lists of common passwords begin with, in whatever order and with whatever digits."""
_ROWS = (
    "01234567890123456789",
    "abcdefghijklmnopqrstuvwxyz",
    "qwertyuiopasdfghjklzxcvbnm",
    "qwertzuiopasdfghjklyxcvbnm",
)
_FEWEST_KINDS = 6


def weakness(passphrase: str) -> str:
    """Why a passphrase is too weak, in words that follow `a passphrase`; empty where it may be used."""
    if len(passphrase) < LEAST_PASSPHRASE:
        return f"has at least {LEAST_PASSPHRASE} letters; three or four words are good"
    plain = re.sub(r"[^a-z0-9]", "", passphrase.casefold())
    own = set(passphrase.casefold())
    row = any(plain in straight or plain[::-1] in straight for straight in _ROWS)
    if len(own) < _FEWEST_KINDS or row or not _without_tried_first(plain):
        return "must not be one that everybody tries first; three or four words that do not belong together are good"
    return ""


def _without_tried_first(plain: str) -> str:
    """The rest without common words, years and digits at the end; a few letters are no rest."""
    rest = plain
    for word in sorted(_TRIED_FIRST, key=len, reverse=True):
        rest = rest.replace(word, "")
    rest = re.sub(r"\d+", "", rest)
    return rest if len(rest) >= 4 or not any(word in plain for word in _TRIED_FIRST) else ""
