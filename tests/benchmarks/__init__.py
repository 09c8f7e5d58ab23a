"""Long checks as programs of their own, each of which prints a table: `python -m tests.benchmarks.NAME`."""
