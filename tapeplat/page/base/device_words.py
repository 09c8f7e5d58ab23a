"""A browser and its device in two words, so that a teacher can tell one line of a list from another."""

from __future__ import annotations

_DEVICES = (
    ("iPad", "iPad"), ("iPhone", "iPhone"), ("CrOS", "Chromebook"), ("Android", "Android"), ("Windows", "Windows"),
    ("Macintosh", "Mac"), ("Linux", "Linux"),
)  # fmt: skip
_BROWSERS = (
    ("Edg", "Edge"),
    ("Firefox", "Firefox"),
    ("FxiOS", "Firefox"),
    ("Chrome", "Chrome"),
    ("CriOS", "Chrome"),
    ("Safari", "Safari"),
)


def device_said(agent: str) -> str:
    """`Chrome on Chromebook`, of what a browser says of itself; `a browser` where it says nothing known."""
    device = next((word for sign, word in _DEVICES if sign in agent), "")
    browser = next((word for sign, word in _BROWSERS if sign in agent), "a browser")
    return f"{browser} on {device}" if device else browser
