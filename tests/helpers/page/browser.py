"""A browser without a socket, and the challenge that most tests use."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Any

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from tapeplat.page.session.services import Services

CHALLENGE = """\
title = "Gull Point Harbour"
unit = "cm"
rules = [
  "market covers at most 1/5 of the parcel",
  "market is at least 4 cm from dock",
  "by eye: every street can be walked from end to end",
]

[parcel]
width = 40
depth = 30

[[zone]]
name = "market"
swatch = 1

[[zone]]
name = "dock"
swatch = 2
"""


@dataclass(frozen=True)
class Browser:
    """A browser with a session: it sends the session's token as the page's forms do."""

    client: FlaskClient
    services: Services

    def get(self, path: str) -> TestResponse:
        return self.client.get(path)

    def text(self, path: str) -> str:
        answer = self.client.get(path, follow_redirects=True)
        assert answer.status_code == 200, answer.text
        return answer.text

    def post(self, path: str, data: dict[str, Any] | None = None, **more: Any) -> TestResponse:
        return sent(self.client.post(path, data={"csrf": self.token(), **(data or {})}, **more))

    def token(self) -> str:
        found = re.search(r'name="csrf" content="([^"]+)"', self.client.get("/class/code").text)
        assert found is not None
        return found[1]


def sent(answer: TestResponse) -> TestResponse:
    """The answer; what the test client wrote to a temporary file to send it is closed."""
    answer.request.environ["wsgi.input"].close()
    return answer
