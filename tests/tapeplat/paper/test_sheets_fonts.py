"""What is printed for characters that the typeface lacks."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase import pdfmetrics

from tapeplat.paper.pdf.fonts import REGULAR, lost, printable, register, text_width


@pytest.mark.parametrize(("text", "expected"), [
    ("Žižka's mill", "Žižka's mill"),
    ("Dvořák", "Dvorák"),  # r with a caron is not in the typeface, z with one is
    ("a  b\n c", "a b c"),
    ("4 ⅛ in", "4 1/8 in"),
    ("e\u0301tang", "étang"),
    ("水車", "??"),
])  # fmt: skip
def test_nearest_print(text, expected):
    assert printable(text) == expected


def test_what_is_lost_is_named():
    assert lost("Dvořák, 水車 and Žižka, 4⅛") == ("ř", "水", "車")
    assert lost("plain words") == ()


@given(st.text(max_size=60))
def test_everything_printed_is_in_the_typeface(text):
    register()
    glyphs = pdfmetrics.getFont(REGULAR).face.charToGlyph
    printed = printable(text)
    assert all(ord(sign) in glyphs for sign in printed)
    assert printable(printed) == printed


def test_widths_scale_with_size():
    assert text_width("library", 20) == pytest.approx(2 * text_width("library", 10))
    assert text_width("library", 10, bold=True) > text_width("library", 10)
