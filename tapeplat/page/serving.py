"""Starting the page's server: where it listens, who can reach it, and saying so."""

from __future__ import annotations

import logging
import os
import socket
import sqlite3
import sys
import threading
import webbrowser
from collections.abc import Iterator
from pathlib import Path

import click
import platformdirs
from flask import Flask

from tapeplat.archive import default_root
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.page.app import create_app
from tapeplat.page.base.process_lock import lock_data_folder
from tapeplat.page.base.reach import EVERYWHERE, HERE_ONLY, address_at, own_names
from tapeplat.page.base.settings import LOOPBACK, Settings
from tapeplat.page.judging_server import judged_server
from tapeplat.page.listening import listening_of
from tapeplat.page.session.passphrase import ensure_passphrase
from tapeplat.page.session.services import Services
from tapeplat.workers.memory_bounds import give_large_memory_back

_THREADS = 16
"""Enough that a slow upload on a poor network does not make the others wait."""
_MOST_CONNECTIONS, _IDLE_SECONDS = 400, 30
"""A browser keeps up to six connections open, and a class has up to 60 devices; beyond the limit nobody gets an answer.
Windows waits for no more than 512."""


def run(*, port: int, share: bool, data: Path | None, archive: Path | None, browser: bool) -> None:
    """Serve until Ctrl-C. Raises FolderNotWritable where the data folder cannot be used."""
    give_large_memory_back()
    _check_free(port, "" if share else "127.0.0.1")
    settings = settings_for(port=port, share=share, data=data, archive=archive)
    with lock_data_folder(settings.data):
        app = _opened(settings)
        made = app.extensions["tapeplat"]
        assert isinstance(made, Services)
        if share:
            ensure_passphrase(made.sign_in_secrets)
        click.echo("\n".join(_said(settings, made)))
        made.start_key.on_used = lambda: click.echo(f"To open it again: {_start_address(settings, made)}")
        if browser:
            threading.Timer(0.3, webbrowser.open, [_start_address(settings, made)]).start()
        waiting = made.queue.start(settings.workers)
        if waiting:
            click.echo(f"Photos of {waiting} models were not measured yet; that goes on now.")
        try:
            _serve(app, settings, made)
        finally:
            made.close()


def _opened(settings: Settings) -> Flask:
    try:
        return create_app(settings)
    except (OSError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or str(error)
        do = "put page.sqlite3 back from a copy, or choose another folder with --data"
        raise FolderNotWritable(f"{settings.data} cannot be used: {reason}; {do}") from error


def settings_for(*, port: int, share: bool, data: Path | None, archive: Path | None) -> Settings:
    """What the command line says, completed: folders in the user's data folder, this machine's names."""
    folder = data or platformdirs.user_data_path("tapeplat", appauthor=False) / "page"
    names = tuple(own_names()) if share else ()
    return Settings(
        folder.absolute(),  # files are sent by their whole path
        (archive or default_root()).absolute(),
        port=port,
        shared=share,
        hosts=(*LOOPBACK, *names),
        address=address_at(names, port),
        workers=max(1, (os.cpu_count() or 1) - 1),
    )


def _check_free(port: int, host: str) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            do = "Tapeplat may be running already, or choose another with --port"
            raise click.UsageError(f"port {port} cannot be used ({reason}); {do}") from error


def _start_address(settings: Settings, made: Services) -> str:
    return f"{settings.local_address}/start/{made.start_key.key}"


def _said(settings: Settings, made: Services) -> Iterator[str]:
    """What the window says at the start: the address, and who can reach it."""
    yield f"The teacher's page, on this computer: {_start_address(settings, made)}"
    if not settings.shared:
        yield "Only this computer can open it. For phones and pupils' devices, start it with --share, or switch that on"
        yield "on the page, under Settings."
    elif settings.address:
        yield f"For phones and pupils' devices on the same network: {settings.address}"
        yield "Everybody on that network can open this address. Teachers need the passphrase, students the class code."
        yield "What is sent is not encrypted: use the school's own network with a password, not a public one."
    else:
        yield "This computer is in no network, so nobody else can open the page."
    yield f"Challenges and class data: {settings.data}"
    yield f"Archive: {settings.archive}"
    yield "Stop with Ctrl-C; nothing that was saved is lost."


def _serve(app: Flask, settings: Settings, made: Services) -> None:
    _allow_files()
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # that somebody waits for a moment is no news
    server = judged_server(
        app,
        host=EVERYWHERE if settings.shared else HERE_ONLY,
        port=settings.port,
        threads=_THREADS,
        connection_limit=_MOST_CONNECTIONS,
        channel_timeout=_IDLE_SECONDS,
        cleanup_interval=_IDLE_SECONDS // 3,
        asyncore_use_poll=True,
        ident="tapeplat",
    )
    made.reach.listen = listening_of(server, settings.port)
    server.run()


def _allow_files() -> None:
    """Every connection is an open file, of which some systems (macOS: 256) allow a program few unless it asks."""
    if sys.platform == "win32":
        return
    import resource

    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    wanted = 2048 if hard == resource.RLIM_INFINITY else min(2048, hard)
    if soft != resource.RLIM_INFINITY and soft < wanted:
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
