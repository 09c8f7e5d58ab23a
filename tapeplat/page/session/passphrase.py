"""The teacher's passphrase: asked for at the first start with --share, or made."""

from __future__ import annotations

import secrets
import sys

import click

from tapeplat.page.base.passphrase_rules import weakness
from tapeplat.page.store.sign_in_secrets import SignInSecrets

_STARTS, _VOWELS = "bdfghjklmnprstvwz", "aeiou"


def ensure_passphrase(stored: SignInSecrets) -> None:
    """Have a passphrase: the one set earlier, one that is typed now, or a new one that is shown once."""
    if stored.has_passphrase():
        click.echo("The teacher's passphrase is the one from before; Settings changes it.")
        return
    said = _asked() if sys.stdin.isatty() else ""
    passphrase = said or made_passphrase()
    stored.set_passphrase(passphrase)
    if not said:
        click.echo(f"The teacher's passphrase, shown this once (change it under Settings): {passphrase}")


def made_passphrase() -> str:
    """Four invented words of two syllables: 85^8 are 51 bits, with the limit on guesses far more than enough."""
    return " ".join("".join(secrets.choice(_STARTS) + secrets.choice(_VOWELS) for _ in range(2)) for _ in range(4))


def _asked() -> str:
    """What the teacher types, empty for a made one."""
    click.echo("With --share the teacher's page needs a passphrase. Type one, or press Enter to have one made.")
    while True:
        said = str(click.prompt("Passphrase", default="", show_default=False, hide_input=True)).strip()
        weak = weakness(said) if said else ""
        if not weak:
            return said
        click.echo(f"A passphrase {weak}.")
