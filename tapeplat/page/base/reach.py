"""Who can open the page: browsers on this computer alone, or all in its network; it changes while it runs."""

from __future__ import annotations

import socket
from collections.abc import Callable, Iterator, Sequence

from tapeplat.page.base.settings import LOOPBACK, Settings

EVERYWHERE, HERE_ONLY = "0.0.0.0", "127.0.0.1"
Listen = Callable[[str], None]
"""Makes the server listen at an address, and there only. Raises OSError, and then listens as before."""


class NoNetwork(Exception):  # noqa: N818  (named for what happened, as the teacher reads it)
    """This computer is in no network, or the network gives no way in; the message says which."""


class Reach:
    """The names under which browsers may ask, and what others than this computer's open; empty where they cannot."""

    def __init__(self, settings: Settings) -> None:
        self._port = settings.port
        self.hosts: tuple[str, ...] = settings.hosts
        self.address = settings.address
        self.listen: Listen | None = None

    @property
    def can_change(self) -> bool:
        """Whether there is a server that can be told."""
        return self.listen is not None

    def share(self) -> None:
        """Let phones and students' devices in. Raises NoNetwork."""
        names = tuple(own_names())
        reached = next((name for name in names if name[:1].isdigit()), "")
        if not reached:
            raise NoNetwork("This computer is in no network.")
        self._tell(EVERYWHERE)
        self.hosts, self.address = (*LOOPBACK, *names), address_at(names, self._port)

    def unshare(self) -> None:
        """Let nobody in but this computer's browsers."""
        self.hosts, self.address = LOOPBACK, ""
        self._tell(HERE_ONLY)

    def _tell(self, host: str) -> None:
        try:
            if self.listen is not None:
                self.listen(host)
        except OSError as error:
            raise NoNetwork(f"The network gives no way in: {error.strerror or error}.") from error


def address_at(names: Sequence[str], port: int) -> str:
    """What other devices open, of this machine's names; empty without a number among them."""
    reached = next((name for name in names if name[:1].isdigit()), "")
    return f"http://{reached}:{port}" if reached else ""


def own_names() -> Iterator[str]:
    """This machine's address in its network, then its name."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Asks the system which way out it would take (RFC 5737's address for examples); nothing is sent.
            probe.connect(("192.0.2.1", 9))
            yield str(probe.getsockname()[0])
        except OSError:
            pass
    name = socket.gethostname().lower()
    yield from (name, f"{name}.local")
