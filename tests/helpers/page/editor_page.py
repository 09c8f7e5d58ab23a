"""A page with nothing but the outline editor of one result folder, on a socket, as strict as the real one."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from flask import Flask, Response, jsonify, render_template_string, request, send_from_directory
from werkzeug.serving import make_server

import tapeplat
import tapeplat.page
from measure.challenge import Challenge
from measure.errors import InputMistakes
from measure.result.result import read_result
from tapeplat.page.content.outline_form import editor_of, request_of
from tapeplat.page.content.repair_request import StaleResult

PAGE = Path(tapeplat.page.__file__).parent
POLICY = "default-src 'self'; img-src 'self' blob:; object-src 'none'; base-uri 'none'; form-action 'self'"
FRAGMENT = """{% from "_outline_editor.html" import outline_editor %}
<div id="model"><h1>Otters</h1>
<ul>{% for rule in result.rules %}<li>{{ rule.verdict }}: {{ rule.text }}</li>{% endfor %}</ul>
{{ outline_editor(editor) }}</div>"""
WHOLE = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Otters</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><meta name="csrf" content="token">
<link rel="icon" href="/static/icon.svg">
{% for name in ("base", "forms", "parts", "outline-editor") %}<link rel="stylesheet" href="/static/css/{{ name }}.css">
{% endfor %}<script type="module" src="/static/outline/outline-editor.js"></script></head>
<body><main>""" + FRAGMENT + "</main></body></html>"  # fmt: skip


def editor_app(folder: Path, challenge: Challenge) -> Flask:
    """Shows the folder's model at / and takes changes there, by script and by form."""
    app = Flask("editor", template_folder=str(PAGE / "templates"), static_folder=str(PAGE / "static"))
    app.jinja_env.globals["csrf"] = lambda: "token"
    zones, lines = ([each.name for each in named] for named in (challenge.zones, challenge.lines))

    def shown(template: str) -> str:
        editor = editor_of(folder, zones, lines, picture="/corrected.jpg", post="/", swap="#model")
        return render_template_string(template, editor=editor, result=read_result(folder))

    @app.get("/")
    def page() -> str:
        return shown(WHOLE)

    @app.post("/")
    def change() -> str | tuple[Response, int]:
        assert (request.headers.get("X-CSRF") or request.form["csrf"]) == "token"
        body = request.get_data(as_text=True) if request.is_json else ""
        try:
            asked = request_of(body, request.form, challenge.unit, is_json=request.is_json)
            asked.check_base(folder)
            tapeplat.repair(tapeplat.check(challenge, folder), asked.edits).save(folder)
        except (InputMistakes, StaleResult) as wrong:
            said = {"title": "This cannot be used yet", "what": "", "do": "", "lines": str(wrong).splitlines()}
            return jsonify({"error": said}), 400
        return shown(FRAGMENT if request.is_json else WHOLE)

    @app.get("/corrected.jpg")
    def picture() -> Response:
        return send_from_directory(folder, "corrected.jpg")

    @app.after_request
    def strict(answer: Response) -> Response:
        answer.headers["Content-Security-Policy"] = POLICY
        return answer

    return app


@contextmanager
def served(app: Flask) -> Iterator[str]:
    """The app on a free port of this machine; the value is its address."""
    server = make_server("127.0.0.1", 0, app, threaded=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_port}/"
    finally:
        server.shutdown()
        thread.join()
        server.server_close()
