"""The program as a process of its own: `python -m tests.helpers.program COMMAND ...`."""

from tapeplat.cli.main import main

if __name__ == "__main__":
    main(prog_name="tapeplat")
