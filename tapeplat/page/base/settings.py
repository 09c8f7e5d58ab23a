"""What a running page is told at its start; nothing of it changes while it runs."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

LOOPBACK = ("127.0.0.1", "localhost", "[::1]")
"""Names of this machine for itself."""
HERE = ("127.0.0.1", "::1")
"""Its addresses, as it sees itself ask."""


@dataclass(frozen=True)
class Settings:
    """Where the page keeps what is its own (data), where the archive is, and how it is reached.

    hosts are the names under which browsers may ask for it; address is what pupils' and phones' browsers open, empty
    where the page is not shared. workers is how many photos are measured at once; with none, photos are looked at and
    plans checked in the page's own process. With start_key the teacher's page
    opens from this machine without a passphrase (see roles).
    """

    data: Path
    archive: Path
    port: int = 8417
    shared: bool = False
    hosts: tuple[str, ...] = LOOPBACK
    address: str = ""
    workers: int = 1

    @property
    def local_address(self) -> str:
        """What this machine's own browser opens."""
        return f"http://127.0.0.1:{self.port}"
