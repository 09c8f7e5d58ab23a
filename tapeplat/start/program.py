"""Where the command line begins: Ctrl-C is heard while its libraries are still loaded, which is to take no time."""

from __future__ import annotations

import gc
import os
import sys

INTERRUPTED = 130
NEW_OBJECTS = 20_000
"""So many until the collector looks for what nobody uses: loading makes ten times as many, which all stay."""


def start() -> None:
    """Load the command line and run it."""
    gc.set_threshold(NEW_OBJECTS)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # it would look through all that is installed for some
    try:
        from tapeplat.cli.main import main

        main(prog_name="tapeplat")
    except KeyboardInterrupt:
        print("\nstopped; nothing was begun", file=sys.stderr)
        sys.exit(INTERRUPTED)


if __name__ == "__main__":
    start()
