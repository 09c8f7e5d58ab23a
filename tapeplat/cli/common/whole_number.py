"""A number on the command line, with words of its own for what is none."""

from __future__ import annotations

import click


class WholeNumber(click.IntRange):
    """A whole number between two others."""

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """The number. Raises click.BadParameter that says which numbers there are."""
        try:
            return int(super().convert(value, param, ctx))  # type: ignore[arg-type]  # click reads texts, too
        except click.BadParameter:
            self.fail(f"{value} is no whole number from {self.min} to {self.max}", param, ctx)
