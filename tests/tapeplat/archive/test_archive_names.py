from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tapeplat.archive.storage.folder_names import attempt_id, challenge_folder, same_key, team_folder

SAFE = set(string.ascii_lowercase + string.digits + "-")
# Microsoft, "Naming Files, Paths, and Namespaces": device names in any case, also before an ending.
RESERVED = {"con", "prn", "aux", "nul"} | {f"{port}{n}" for port in ("com", "lpt") for n in "0123456789¹²³"}
WEIRD = ["", " ", ".", "..", "../../etc", "C:\\x", "a/b", "a\\b", "CON", "con", "nul", "COM1", "x" * 500, "村", "Été"]
WEIRD += ["trash", "index", "a\0b", "\ud800", "team 3", "Team-3", "-", "--", "name.", "name ", "🦩", "ﬁre", "\u202eabc"]


@pytest.mark.parametrize("name", WEIRD)
def test_a_weird_name_becomes_a_safe_folder(name):
    for folder in (challenge_folder(name), team_folder(name)):
        assert set(folder) <= SAFE
        assert folder.strip("-") == folder
        assert folder not in RESERVED
        assert folder not in {"trash", "index"}
        assert 0 < len(folder) <= 55


@given(st.text())
def test_any_name_becomes_a_safe_folder_of_its_own(name):
    for folder in (challenge_folder(name), team_folder(name)):
        assert set(folder) <= SAFE
        assert 0 < len(folder) <= 55
        assert folder not in RESERVED | {"trash"}


@given(st.text(), st.text())
def test_names_that_people_tell_apart_stay_apart(one, other):
    assert (challenge_folder(one) == challenge_folder(other)) == (same_key(one) == same_key(other))


@given(
    st.lists(st.sampled_from("aA1 -_./\\é"), max_size=5).map("".join),
    st.lists(st.sampled_from("aA1 -_./\\é"), max_size=5).map("".join),
)
def test_names_that_look_alike_as_folders_stay_apart(one, other):
    assert (challenge_folder(one) == challenge_folder(other)) == (same_key(one) == same_key(other))


def test_readable_names_stay_readable():
    assert challenge_folder("Quarry Lake Village") == "quarry-lake-village"
    assert team_folder("3") == team_folder("Team 3") == team_folder("03") == "team-3"
    assert team_folder("Blue Herons") == "team-blue-herons"
    assert attempt_id(challenge_folder("Quarry Lake Village"), team_folder("3"), 2) == "quarry-lake-village.team-3.2"


def test_capitals_and_unicode_forms_do_not_make_another_team():
    assert team_folder("Reiher") == team_folder("REIHER ")
    assert team_folder("E\u0301te\u0301") == team_folder("\u00c9t\u00e9")
