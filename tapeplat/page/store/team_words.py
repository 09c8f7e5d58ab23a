"""The word that keeps a team to itself: who joins first is shown it, everybody after that has to know it."""

from __future__ import annotations

import secrets

from tapeplat.page.store.database import Database

_WORDS = (
    "acorn", "anchor", "apple", "badger", "barley", "beetle", "bridge", "candle", "cedar", "clover", "comet", "copper",
    "coral", "cricket", "daisy", "dolphin", "falcon", "feather", "fern", "fiddle", "forest", "garden", "ginger",
    "hammer", "harbour", "hazel", "heron", "island", "jungle", "kettle", "kite", "ladder", "lantern", "lemon", "lizard",
    "magnet", "maple", "meadow", "melon", "mitten", "moon", "mountain", "muffin", "nutmeg", "olive", "orange", "otter",
    "paddle", "panda", "parrot", "pebble", "pepper", "pillow", "planet", "pocket", "pumpkin", "puzzle", "rabbit",
    "raven", "ribbon", "river", "robin", "rocket", "saddle", "sailor", "salmon", "shell", "silver", "spider", "spoon",
    "squirrel", "stone", "sunset", "swallow", "teapot", "thunder", "tiger", "timber", "tomato", "trumpet", "tulip",
    "turtle", "velvet", "violin", "walnut", "whistle", "willow", "window", "winter", "yellow",
)  # fmt: skip
"""Short, plain, and easy to spell for a child of eight."""


class TeamWords:
    """Every team's word."""

    def __init__(self, database: Database) -> None:
        self._database = database

    def word(self, challenge: str, team: int) -> str:
        """A team's word; empty where nobody joined yet."""
        query = "SELECT secret FROM team WHERE challenge = ? AND number = ?"
        row = self._database.read().execute(query, (challenge, team)).fetchone()
        return "" if row is None else str(row["secret"])

    def of(self, challenge: str) -> dict[int, str]:
        """For the teacher: the words of all teams that were joined, by number."""
        query = "SELECT number, secret FROM team WHERE challenge = ? AND secret <> '' ORDER BY number"
        return {row["number"]: row["secret"] for row in self._database.read().execute(query, (challenge,))}

    def join(self, challenge: str, team: int, said: str) -> str | None:
        """The team's word, for who says it and for the first one, who gets a new one; None for everybody else."""
        with self._database.write() as connection:
            query = "SELECT secret FROM team WHERE challenge = ? AND number = ?"
            row = connection.execute(query, (challenge, team)).fetchone()
            known = "" if row is None else str(row["secret"])
            if known:
                return known if secrets.compare_digest(_plain(said).encode(), known.encode()) else None
            word = f"{secrets.choice(_WORDS)} {secrets.randbelow(900) + 100}"
            connection.execute(
                "INSERT INTO team (challenge, number, secret) VALUES (?, ?, ?) "
                "ON CONFLICT (challenge, number) DO UPDATE SET secret = excluded.secret",
                (challenge, team, word),
            )
        return word

    def free(self, challenge: str, team: int) -> None:
        """For the teacher: the next one to join gets a new word, and all devices that joined have to join again."""
        with self._database.write() as connection:
            connection.execute("UPDATE team SET secret = '' WHERE challenge = ? AND number = ?", (challenge, team))


def _plain(said: str) -> str:
    """`Maple473` and ` MAPLE  473 ` are `maple 473`."""
    letters = "".join(letter for letter in said.casefold() if letter.isalpha())
    digits = "".join(letter for letter in said if letter.isdigit())
    return f"{letters} {digits}"
