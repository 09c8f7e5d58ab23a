"""Where the command line begins: Ctrl-C is heard while its libraries are still loaded."""

from __future__ import annotations

import sys

INTERRUPTED = 130


def start() -> None:
    """Load the command line and run it."""
    try:
        from tapeplat.cli.main import main

        main(prog_name="tapeplat")
    except KeyboardInterrupt:
        print("\nstopped; nothing was begun", file=sys.stderr)
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    start()
