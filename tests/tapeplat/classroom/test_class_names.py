"""Whose photo a file's name says it is."""

from __future__ import annotations

import unicodedata
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeplat.classroom.grouping import grouped, nameless
from tapeplat.classroom.photo_folder import FoundPhoto
from tapeplat.classroom.team_names import in_order, team_of_folder, team_of_name, teams_of_names

WORDS = st.sampled_from(["", "team", "Team", "TEAM ", "group-", "Table ", "team_", "model "])
INDEX = st.sampled_from(["", "a", " b", "-1", "_2", " (3)", " photo 2", " left", "-top-1", " copy"])
CAMERA = [
    "IMG_1234", "IMG_1234 (1)", "DSC01234", "DSCN0042", "PXL_20260312_101500123.MP", "20260312_101500", "photo 3",
    "WhatsApp Image 2026-03-12 at 10.15.00 AM", "P1010234", "9F8B3C2E-1234-4abc-9def-0123456789ab", "Team", "image",
]  # fmt: skip
SYLLABLES = st.lists(st.sampled_from(["ot", "ter", "heron", "ö", "qué", "鷺", "ка", "bo"]), min_size=2, max_size=4)
NAMES = st.lists(SYLLABLES.map("".join).map(str.capitalize), min_size=1, max_size=3).map(" ".join)


@given(WORDS, st.integers(0, 999), st.sampled_from(["{}", "0{}"]), INDEX)
def test_a_number_with_any_usual_word_and_index_is_that_team(word, number, form, index):
    digits = form.format(number) if number < 100 else str(number)
    if word == "team" and index.startswith(" photo"):
        index = "-1"
    assert team_of_name(f"{word}{digits}{index}") == str(number)


@given(NAMES, st.sampled_from(["", " 1", "-2", "_03", " (4)", " photo 5", "1"]), st.sampled_from([" ", "-", "_"]))
def test_a_name_keeps_its_words_and_loses_the_photo_s_number(name, index, joint):
    found = team_of_name(name.replace(" ", joint) + index)
    assert found == unicodedata.normalize("NFC", name)


@given(WORDS.filter(str.strip), st.integers(1000, 10**6), st.sampled_from(["", "a", " b", "-1", "_2", " (3)"]))
def test_a_number_of_more_digits_behind_a_word_is_that_team_and_no_other_s_photo(word, number, index):
    assert team_of_name(f"{word}{number}{index}") == str(number)
    assert team_of_folder(f"{word}{number}") == str(number)


@given(NAMES, st.integers(100, 10**6), st.sampled_from(["", " "]))
def test_a_longer_number_behind_a_name_is_not_cut_in_two(name, number, joint):
    assert team_of_name(f"{name}{joint}{number}") == unicodedata.normalize("NFC", f"{name}{joint}{number}")


@pytest.mark.parametrize("name", CAMERA)
def test_a_camera_s_name_names_no_team(name):
    assert team_of_name(name) is None


@given(st.text(max_size=60))
def test_any_name_is_a_team_or_none_and_never_blank(name):
    found = team_of_name(name)
    assert found is None or found.strip()
    assert team_of_folder(name) == team_of_folder(team_of_folder(name))


def test_a_last_letter_counts_photos_only_beside_its_siblings():
    assert teams_of_names(["Herons a", "Herons b", "Plan B"]) == {
        "Herons a": "Herons", "Herons b": "Herons", "Plan B": "Plan B",
    }  # fmt: skip


def test_letters_name_teams():
    assert [team_of_name(n) for n in ("A", "b", "Team C", "d 2")] == ["A", "B", "C", "D"]


@given(st.lists(st.tuples(st.sampled_from(["1", "3a", "3b", "Otters 1", "IMG_7", "12"]), st.sampled_from(["", "5"]))))
def test_every_photo_is_in_one_group_and_groups_are_in_order(names):
    photos = [
        FoundPhoto(Path(folder or ".") / f"{name}-{i:04d}x.jpg", folder) for i, (name, folder) in enumerate(names)
    ]
    made = grouped(photos, dict.fromkeys(nameless(photos), (7,)))
    assert sorted(p for group in made.groups for p in group.photos) == sorted(photo.path for photo in photos)
    assert [g.team for g in made.groups] == sorted((g.team for g in made.groups), key=in_order)


def test_what_was_inferred_is_said():
    paths = ["3a.jpg", "3b.jpg", "Blue Herons 1.jpg", "IMG_1.jpg", "IMG_2.jpg", "IMG_3.jpg"]
    photos = [*(FoundPhoto(Path(p)) for p in paths), FoundPhoto(Path("Team 3") / "x.jpg", "Team 3")]
    labels = {Path("IMG_1.jpg"): (12,), Path("IMG_2.jpg"): (), Path("IMG_3.jpg"): (4, 5)}
    assert nameless(photos) == tuple(labels)
    made = grouped(photos, labels)
    assert {g.team: len(g.photos) for g in made.groups} == {
        "3": 3, "12": 1, "Blue Herons": 1, "IMG_2": 1, "IMG_3": 1,
    }  # fmt: skip
    said = "\n".join(made.warnings)
    assert "file names: 3 (3a.jpg, 3b.jpg); Blue Herons (Blue Herons 1.jpg)" in said
    assert "labels in the photos: 12 (IMG_1.jpg)" in said
    assert 'team 3: 3a.jpg and 3b.jpg and the folder "Team 3" are taken as photos of one model' in said
    assert "IMG_2.jpg does not say whose model it shows: its name is no team's and no team label" in said
    assert "the labels of teams 4 and 5 are in it" in said
