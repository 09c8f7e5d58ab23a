"""The browser of the tests in a browser: Debian's Chromium, how it is started, and what axe-core checks in it."""

from __future__ import annotations

import shutil

CHROMIUM = shutil.which("chromium")
OPTIONS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
WCAG = {"runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}}
