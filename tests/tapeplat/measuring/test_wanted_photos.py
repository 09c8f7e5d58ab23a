"""What is said of structures that photos do not measure, and of what each photo added."""

from __future__ import annotations

from measure.notices import Notice, Subject
from tapeplat.wording.notice_words import words


def test_what_photos_do_not_measure_is_told_with_the_photo_that_would() -> None:
    facts: dict[str, bool | int | float | str | tuple[int, ...] | tuple[str, ...]] = {
        "x": 123.0, "y": 45.0, "unit": "cm", "side": "left", "degrees": 35,
    }  # fmt: skip
    asked = "add a photo taken from the left side of the parcel, 35 degrees off straight above"
    place = "12.3 cm from the parcel's left edge and 4.5 cm from its top"
    assert words(Notice("structure-not-measured", facts=facts)) == (
        f"the photos do not tell the size of the structure {place}: {asked}"
    )
    assert words(Notice("doubtful-structure", facts=facts)) == (
        f"something may stand {place} that the photos do not measure: {asked}"
    )


def test_what_a_photo_added_is_told() -> None:
    little, much = (
        words(Notice("photo-added", Subject(photo="left.jpg"), {"count": 3, "sharper": sharper}))
        for sharper in (1.02, 2.4)
    )
    assert little == "left.jpg shows 3 structures and makes heights hardly more certain"
    assert much == "left.jpg shows 3 structures; without it heights are 2.4 times as uncertain"
