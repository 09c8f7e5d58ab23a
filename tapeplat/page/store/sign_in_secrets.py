"""Small things that the page keeps under a name: the passphrase's hash, the key that signs sessions."""

from __future__ import annotations

import secrets
import threading

from werkzeug.security import check_password_hash, generate_password_hash

from tapeplat.page.base.passphrase_rules import weakness
from tapeplat.page.store.database import Database

_HASHED_AT_ONCE = threading.Semaphore(2)
"""Hashing takes 0.1 s and 32 MB on purpose; more at once would cost the class what guessing must cost."""


class SignInSecrets:
    """Named values in the page's file."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def get(self, name: str) -> str:
        """The value, empty where there is none."""
        row = self._database.read().execute("SELECT value FROM setting WHERE name = ?", (name,)).fetchone()
        return "" if row is None else str(row["value"])

    def put(self, name: str, value: str) -> None:
        """Keep a value under a name, in place of an earlier one."""
        with self._database.write() as connection:
            connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (name, value))

    def session_key(self) -> str:
        """The secret that signs sessions: made once, so that nobody is signed out when the program is started anew."""
        key = self.get("session key")
        if not key:
            key = secrets.token_hex(32)
            self.put("session key", key)
        return key

    def sign_in_round(self) -> str:
        """What a teacher's session must carry to be good; a new passphrase ends all earlier sessions."""
        return self.get("sign-in round") or "1"

    def has_passphrase(self) -> bool:
        """Whether the teacher has set one."""
        return bool(self.get("passphrase"))

    def set_passphrase(self, passphrase: str) -> None:
        """Keep a passphrase as its scrypt hash. Raises ValueError where it is too short, or a common one."""
        weak = weakness(passphrase)
        if weak:
            raise ValueError(f"a passphrase {weak}")
        self.put("passphrase", generate_password_hash(passphrase, method="scrypt"))
        self.put("sign-in round", secrets.token_hex(8))

    def is_passphrase(self, said: str) -> bool:
        """Whether this is the teacher's passphrase."""
        known = self.get("passphrase")
        with _HASHED_AT_ONCE:
            return bool(known) and check_password_hash(known, said)
