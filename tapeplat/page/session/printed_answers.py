"""Answers that are printed: which paper was asked for, and a document as the browser takes it."""

from __future__ import annotations

from flask import Response, request

from tapeplat.kit.kit_contents import MEDIA
from tapeplat.paper.pdf.pdf_canvas import PAPERS


def paper_asked() -> str:
    """The paper that a page's address names; letter where it names none that there is."""
    paper = request.args.get("paper", "letter")
    return paper if paper in PAPERS else "letter"


def document(content: bytes, name: str, suffix: str = ".pdf") -> Response:
    """A PDF, which a browser shows, or a document to edit (`.docx`), which it keeps; called so."""
    way = "inline" if suffix == ".pdf" else "attachment"
    headers = {"Content-Disposition": f'{way}; filename="{name}{suffix}"'}
    return Response(content, mimetype=MEDIA[suffix], headers=headers)
