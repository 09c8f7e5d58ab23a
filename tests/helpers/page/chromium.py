"""The browser of the tests in a browser: Debian's Chromium, how it is started, how long a test waits for what a page is
to show, and what axe-core checks in it.
"""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING

import psutil

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Dialog, Locator

PATIENCE = 30_000
"""ms that a page may take to show what is expected of it: far more than it needs, on a machine of any load."""
MEASURED = 240_000
"""ms: the same for a photo that is measured."""
CHROMIUM = shutil.which("chromium")
OPTIONS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
WCAG = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}}


@contextmanager
def started_browser() -> Iterator[Browser]:
    """A browser; a test without Playwright is skipped by its file."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=OPTIONS)
        yield browser
        for context in browser.contexts:
            leave(context)
        with ended_after(60):
            browser.close()


def leave(context: BrowserContext) -> None:
    """Close a context from empty pages: closed while a page is being loaded it may never answer."""
    from playwright.sync_api import Error

    for page in context.pages:
        page.on("dialog", _let_go)
        with suppress(Error):
            page.goto("about:blank")
    with ended_after(60):
        context.close()


def _let_go(dialog: Dialog) -> None:
    """A page with something unsaved asks whether to leave it."""
    from playwright.sync_api import Error

    with suppress(Error):  # another listener has answered
        dialog.accept()


def follow(link: Locator) -> None:
    """Click a link, and wait until the page that it leads to is there with its scripts."""
    with link.page.expect_navigation():
        link.click()


def until(holds: Callable[[], bool], what: str, patience: float = PATIENCE / 1000) -> None:
    """Wait for something that no `expect` can see: what the server, or the browser's store, holds."""
    deadline = time.monotonic() + patience
    while not holds():
        assert time.monotonic() < deadline, f"not within {patience:g} s: {what}"
        time.sleep(0.05)


@contextmanager
def ended_after(seconds: float) -> Iterator[None]:
    """End this process's browsers when it takes longer: Playwright waits for some answers without end."""
    timer = threading.Timer(seconds, _end_browsers)
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()


def _end_browsers() -> None:
    for process in psutil.Process().children(recursive=True):
        try:
            if "chrom" in process.name():
                process.kill()
        except psutil.NoSuchProcess:
            continue
