"""Findings that are told in one sentence: grouped, worded and counted once for every place."""

from __future__ import annotations

from dataclasses import replace

from ropewright.judgement.alike import counted, grouped, words_of_all
from ropewright.judgement.rules import Finding

RATED = Finding(
    "question",
    "user-mass-unknown",
    "nobody has said how many kilograms a is rated for; 95 kg hang on it",
    3,
    "read its label",
    "a",
    open=True,
)
SAME = Finding("caution", "slips-in-catch", "with the other it may slip", 4, "leave less slack", "a")


def test_what_is_said_of_several_parts_by_one_repair_is_said_once() -> None:
    other = replace(RATED, text=RATED.text.replace(" a ", " b ").replace("95", "80"), part="b", line=5)
    [alike] = grouped([RATED, SAME, other])[:1]
    assert words_of_all(alike) == (
        "nobody has said how many kilograms each of these is rated for: "
        "a, 95 kg hang on it; b, 80 kg hang on it"
    )


def test_the_same_sentence_is_said_once_whatever_parts_and_lines_it_is_of() -> None:
    groups = grouped([SAME, replace(SAME, part="b", line=9)])
    assert [words_of_all(alike) for alike in groups] == [SAME.text]


def test_parts_stand_under_the_sentence_of_their_group() -> None:
    one = replace(SAME, group="these may slip")
    [alike] = grouped([one, replace(one, part="b", text="other words")])
    assert words_of_all(alike) == "these may slip: a, b"


def test_another_repair_level_or_code_keeps_findings_apart() -> None:
    others = [replace(SAME, repair="other"), replace(SAME, level="note"), replace(SAME, code="short-tail")]
    assert len(grouped([SAME, *others])) == 4


def test_a_part_without_a_name_is_no_place_for_others() -> None:
    nameless = replace(RATED, part="")
    assert words_of_all(grouped([nameless, replace(nameless, line=9)])[0]) == RATED.text


def test_cautions_are_counted_as_listed_and_stops_each() -> None:
    stop = replace(SAME, level="stop")
    found = [SAME, replace(SAME, part="b"), stop, replace(stop, part="b"), replace(SAME, code="assumptions")]
    assert counted(found) == {"stop": 2, "question": 0, "caution": 1, "note": 0}


def test_anchors_that_nobody_rated_are_named_as_anchors() -> None:
    texts = [f"nobody has rated the anchor a{k}; it carries {k} kN at rest" for k in (1, 2)]
    found = [
        Finding("question", "anchor-unrated", text, 3, "have it rated", f"a{k}")
        for k, text in enumerate(texts, 1)
    ]
    (alike,) = grouped(found)
    assert (
        words_of_all(alike)
        == "nobody has rated each of these anchors: a1, it carries 1 kN at rest; a2, it carries 2 kN at rest"
    )
