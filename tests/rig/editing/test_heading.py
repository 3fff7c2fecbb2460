"""A rig's title and what is said about it, changed without touching anything else."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.rig.editing import EditError, change_heading
from ropewright.rig.editing.heading import heading_of
from ropewright.rig.editing.page import open_page
from ropewright.rig.yamltext import load_yaml

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.rig.yaml"))
TEXT = """\
# by hand
rig: Lane   # the old one
points:
  beam: {kind: anchor, at: [0, 9]}
"""


def test_only_the_title_changes() -> None:
    assert change_heading(TEXT, {"rig": "Lane: two lines"}) == TEXT.replace("Lane ", '"Lane: two lines" ')


def test_what_is_said_about_it_comes_under_the_title_and_goes_again() -> None:
    said = change_heading(TEXT, {"about": "For the quay."})
    assert said == TEXT.replace("old one\n", "old one\nabout: For the quay.\n")
    assert change_heading(said, {"about": ""}) == TEXT


@pytest.mark.parametrize("layout", [">", "|", ">-"])
def test_words_over_several_lines_are_one_field(layout: str) -> None:
    text = TEXT.replace("points:", f"about: {layout}\n  For the quay,\n  at low water.\npoints:")
    assert change_heading(text, {"about": "For the quay, at low water."}) == text
    assert change_heading(text, {"about": "Not used."}) == TEXT.replace(
        "points:", "about: Not used.\npoints:"
    )


def test_a_rig_keeps_a_title() -> None:
    with pytest.raises(EditError, match="title: found nothing; write what the rig is called"):
        change_heading(TEXT, {"rig": "  "})


@pytest.mark.parametrize("nothing", ["~", "null", ""])
def test_a_title_written_as_nothing_is_none_and_any_word_can_be_set(nothing: str) -> None:
    text = f"rig: {nothing}\npoints: {{}}\n"
    assert heading_of(open_page(text))["rig"] == ""
    for word in ("~", "null", "Lane"):
        assert load_yaml(change_heading(text, {"rig": word})).value["rig"] == word


@pytest.mark.parametrize("text", ["{rig: Lane, points: {}}", "points: {}\n", "rig:\n"])
def test_however_a_file_begins_it_can_be_given_both(text: str) -> None:
    value = load_yaml(change_heading(text, {"rig": "New", "about": "Words"})).value
    assert (value["rig"], value["about"]) == ("New", "Words")


@given(st.sampled_from(EXAMPLES), st.text(max_size=40), st.text(max_size=40))
@settings(max_examples=40, deadline=None)
def test_whatever_is_typed_nothing_else_changes(example: Path, title: str, about: str) -> None:
    text = example.read_text("utf-8")
    try:
        new = open_page(change_heading(text, {"rig": title, "about": about})).value
    except EditError:
        return
    old = open_page(text).value
    assert new["rig"] == " ".join(title.split())
    assert new.get("about", "") == " ".join(about.split())
    for each in (old, new):
        each.pop("about", None)
        each.pop("rig")
    assert list(new.items()) == list(old.items())


@pytest.mark.parametrize("sign", [">", "|", ">-", "|2"])
def test_a_comment_behind_the_sign_of_words_in_lines_of_their_own_stays(sign: str) -> None:
    text = f"rig: {sign}  # as on the board\n  One line\n  and another\n# above the points\npoints: {{}}\n"
    there = " ".join(heading_of(open_page(text))["rig"].split())
    assert there == "One line and another"
    changed = change_heading(text, {"rig": "Another"})
    assert changed == "rig: Another  # as on the board\n# above the points\npoints: {}\n"


def test_words_in_lines_of_their_own_without_a_comment_leave_nothing_behind() -> None:
    assert (
        change_heading("rig: >\n  One # line\npoints: {}\n", {"rig": "Another"})
        == "rig: Another\npoints: {}\n"
    )
