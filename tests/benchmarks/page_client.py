"""A browser without a window for the programs that measure the page: it keeps how long each answer took."""

from __future__ import annotations

import re
import time
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener


@dataclass
class Client:
    """One browser; times are seconds, wrong is what did not go well."""

    base: str
    jar: CookieJar = field(default_factory=CookieJar)
    times: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._opener = build_opener(HTTPCookieProcessor(self.jar))
        self._token = ""

    def open(self, path: str, data: bytes | None = None, kind: str = "application/x-www-form-urlencoded") -> str:
        """The page at a path, or the one that follows a change."""
        headers = {"X-CSRF": self._token, "Content-Type": kind} if data is not None else {}
        begun = time.perf_counter()
        try:
            with self._opener.open(Request(self.base + path, data, headers), timeout=60) as answer:
                page = str(answer.read().decode("utf-8", "replace"))
        except OSError as error:
            self.wrong.append(f"{path}: {error}")
            return ""
        self.times.append(time.perf_counter() - begun)
        token = re.search(r'name="csrf" content="([^"]+)"', page)
        self._token = token[1] if token else self._token
        return page

    def send(self, path: str, **fields: object) -> str:
        """Send a form."""
        return self.open(path, urlencode(fields, doseq=True).encode())

    def send_photo(self, path: str, team: int, content: bytes) -> str:
        """Send a photo of a team's model."""
        head = f'--x\r\nContent-Disposition: form-data; name="team"\r\n\r\n{team}\r\n'
        head += '--x\r\nContent-Disposition: form-data; name="photos"; filename="a.jpg"\r\n\r\n'
        body = head.encode() + content + b"\r\n--x--\r\n"
        return self.open(path, body, "multipart/form-data; boundary=x")
