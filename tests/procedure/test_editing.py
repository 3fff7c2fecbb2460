"""The steps of a procedure changed one by one, the rest of the text left as it stands."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ropewright.procedure.editing import (
    EditError,
    UnreadableError,
    add_step,
    change_step,
    move_step,
    remove_step,
    step_lines,
)

FOLDER = Path(__file__).parents[2] / "examples" / "procedures"
TEXT = """\
# a comment at the top
procedure: Lock off
from: lane.rig.yaml

steps:
  - student: call ready        # said aloud
  # a comment of its own
  - student: lock off descender
  - instructor: check descender

words: {ready: ready to go}
"""


def said(text: str) -> list[tuple[str, str]]:
    return [(each.doer, each.words) for each in step_lines(text)]


def test_steps_are_listed_with_their_lines_and_faults() -> None:
    lines = step_lines(TEXT.replace("lock off descender", "lick off descender"))
    assert [(each.index, each.line) for each in lines] == [(0, 6), (1, 8), (2, 9)]
    assert lines[1].fault.startswith("found `lick off descender`; write")
    assert not lines[0].fault


def test_a_step_is_added_before_another_and_nothing_else_moves() -> None:
    assert add_step(TEXT, 1, "student", "hand off working") == TEXT.replace(
        "  - student: lock off", "  - student: hand off working\n  - student: lock off"
    )


def test_a_step_is_added_at_the_end() -> None:
    assert add_step(TEXT, 99, "student", "sit down") == TEXT.replace(
        "check descender\n", "check descender\n  - student: sit down\n"
    )


def test_a_file_without_steps_gets_its_first() -> None:
    for text in (
        "procedure: x\nfrom: a.rig.yaml\n",
        "procedure: x\nfrom: a.rig.yaml\nsteps:\n",
        "steps: []\n",
    ):
        assert said(add_step(text, 0, "student", "sit down")) == [("student", "sit down")]


def test_a_step_is_changed_and_the_comment_behind_it_stays() -> None:
    assert change_step(TEXT, 0, "leader", "call go") == TEXT.replace("student: call ready", "leader: call go")


def test_a_step_moves_with_the_comment_behind_it() -> None:
    moved = move_step(TEXT, 0, 1)
    assert said(moved) == [
        ("student", "lock off descender"),
        ("student", "call ready"),
        ("instructor", "check descender"),
    ]
    assert "call ready        # said aloud" in moved
    assert "  # a comment of its own\n" in moved


def test_a_step_goes_with_the_comment_behind_it_and_no_other() -> None:
    assert remove_step(TEXT, 0) == TEXT.replace("  - student: call ready        # said aloud\n", "")


def test_the_last_step_leaves_an_empty_list() -> None:
    text = "procedure: x\nsteps:\n  - student: sit down\n"
    assert said(remove_step(text, 0)) == []


def test_steps_in_brackets_stay_in_brackets() -> None:
    text = "steps: [{student: sit down}, {student: call go}]\n"
    assert add_step(text, 1, "leader", "call stop") == (
        "steps: [{student: sit down}, {leader: call stop}, {student: call go}]\n"
    )
    assert change_step(text, 0, "leader", "call go") == "steps: [{leader: call go}, {student: call go}]\n"
    assert remove_step(text, 0) == "steps: [{student: call go}]\n"


@pytest.mark.parametrize(
    ("act", "says"),
    [
        (lambda: add_step(TEXT, 0, "student", "lick off"), "found `lick off`"),
        (
            lambda: add_step(TEXT, 0, "the student", "sit down"),
            "found `the student`; who does it is one word",
        ),
        (lambda: add_step(TEXT, 0, "", "sit down"), "found ``; who does it is one word"),
        (lambda: move_step(TEXT, 0, -1), "this step is the first already"),
        (lambda: move_step(TEXT, 2, 1), "this step is the last already"),
        (lambda: remove_step(TEXT, 3), "there is no step 4 any more"),
        (lambda: step_lines("steps: none\n"), "`steps` holds no list of steps here"),
    ],
)
def test_what_makes_no_sense_is_refused_with_the_reason(act: object, says: str) -> None:
    with pytest.raises(EditError) as caught:
        act()  # type: ignore[operator]
    assert says in str(caught.value)


def test_a_text_that_cant_be_followed_is_told_so() -> None:
    with pytest.raises(UnreadableError):
        step_lines("steps: [\n")


@pytest.mark.parametrize("path", sorted(FOLDER.glob("*.procedure.yaml")), ids=lambda path: path.name)
@settings(max_examples=15, deadline=None)
@given(data=st.data())
def test_whatever_is_done_to_shipped_steps_changes_no_other_line(path: Path, data: st.DataObject) -> None:
    text = path.read_text()
    steps = said(text)
    k = data.draw(st.integers(0, len(steps) - 1))
    assert said(remove_step(text, k)) == [*steps[:k], *steps[k + 1 :]]
    assert remove_step(add_step(text, k, "leader", "call stop"), k) == text
    if k + 1 < len(steps):
        assert move_step(move_step(text, k, 1), k + 1, -1) == text
    doer, words = steps[k]
    assert change_step(change_step(text, k, "leader", "call stop"), k, doer, words) == text
