"""Motions, figures and rules stated through the tables: just that changes, and it goes without a trace."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from ropewright.catalogue import load_catalogue
from ropewright.quantity import Range, read_quantity
from ropewright.rig import POLICY_KEYS, Motion, Rig, read_rig
from ropewright.rig.editing import (
    EditError,
    add_figure,
    add_motion,
    add_rule,
    change_figure,
    change_motion,
    change_rule,
    remove_figure,
    remove_motion,
    remove_part,
    remove_rule,
)
from ropewright.rig.editing.figures import target_named
from ropewright.rig.editing.rows import tables
from ropewright.rig.figures import figure_key
from tests.rig.editing.test_parts import EXAMPLES, HAUL, changed_lines, comments
from tests.rig.strategies import written_rigs

KNOWN = load_catalogue()
WAYS = {"haul": "up", "lower": "down"}
TYPED = {  # what may be typed for a figure of each kind, and what it is in SI
    "force": ("2,000 lbf", Range.exactly(2000 * 4.4482216152605)),
    "mass": ("140..150 kg", Range.between(140.0, 150.0)),
    "length": ("5 cm", Range.exactly(0.05)),
    "share": ("0.5..0.75", Range.between(0.5, 0.75)),
    "mass_per_length": ("80 g/m", Range.exactly(0.08)),
}


def near(one: Range, other: Range) -> bool:
    return [one.low, one.likely, one.high] == pytest.approx([other.low, other.likely, other.high])


def rule_for(key: str) -> tuple[str, Any]:
    """What may be typed for a rule, and what it reads as."""
    rule = POLICY_KEYS[key]
    if rule.kind == "yes-no":
        return "No", False
    if rule.kind == "words":
        words = "good: 1, poor {x}" if rule.most else "it's: {ours}, [two]"
        return words, words
    if rule.kind == "count":
        return "3", 3
    typed = {"share": "4.5", "force": "1.5 kN", "length": "3 ft", "angle": "100 deg"}[rule.kind]
    return typed, read_quantity(typed, rule.kind, "metric").likely


def figures_free(rig: Rig) -> list[tuple[str, str]]:
    """Every figure that the rig could state and does not, of its parts and of a few types."""
    types = {name: part.type for name, part in rig.gear.items()}
    types |= {name: part.type for name, part in rig.ropes.items()}
    sections = dict.fromkeys(rig.points, "points") | dict.fromkeys(types, "gear")
    others = [name for name in ("cam-grab", "cord-8", "concrete", "bowline") if not is_part(rig, name)]
    return [
        (name, key)
        for name in (*sections, *others)
        for key in target_named(name, sections.get(name), types.get(name), KNOWN).keys
        if key not in rig.assume.get(name, {})
    ]


def figure_for(rig: Rig, name: str, key: str) -> tuple[str, Range]:
    """What may be typed for a figure, and what it reads as."""
    of_rope = name in rig.ropes or (not is_part(rig, name) and KNOWN[name].family == "rope")
    special = {"ratio": ("8", Range.exactly(8.0)), "diameter": ("9 mm", Range.exactly(0.009))}
    return special.get(key) or TYPED[figure_key(key, of_rope=of_rope).kind]


def is_part(rig: Rig, name: str) -> bool:
    return name in {part.name for part in rig.parts()}


def with_motion(rig: Rig, word: str, motion: Motion | None) -> Rig:
    return replace(rig, haul=motion) if word == "haul" else replace(rig, lower=motion)


def only_adds(before: str, after: str) -> None:
    """Nothing of the text went, and no comment came."""
    gone, _ = changed_lines(before, after)
    assert gone == []
    assert comments(after) == comments(before)


# On every shipped example: what reads back is the rig with just that, and removing it gives the text back.


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_a_motion_is_stated_and_goes_without_a_trace(text: str) -> None:
    rig = read_rig(text)
    load = next(iter(rig.loads), None)
    for word, way in WAYS.items():
        if load is None or getattr(rig, word) is not None:
            continue
        new = add_motion(text, word, {"load": load, way: "3048 mm"})
        only_adds(text, new)
        assert read_rig(new) == with_motion(rig, word, Motion(load, 3.048))
        assert remove_motion(new, word) == text


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_every_figure_is_stated_and_goes_without_a_trace(text: str) -> None:
    rig = read_rig(text)
    for name, key in figures_free(rig)[::7]:
        typed, value = figure_for(rig, name, key)
        new = add_figure(text, name, key, typed, KNOWN)
        assert comments(new) == comments(text)
        found = read_rig(new)
        assert near(found.assume[name][key], value)
        others = {**found.assume, name: {k: v for k, v in found.assume[name].items() if k != key}}
        assert replace(found, assume={k: v for k, v in others.items() if v}) == rig
        assert remove_figure(new, name, key) == text


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_every_rule_is_stated_and_goes_without_a_trace(text: str) -> None:
    rig = read_rig(text)
    for key in [key for key in POLICY_KEYS if key not in rig.policy][::4]:
        typed, value = rule_for(key)
        new = add_rule(text, key, typed)
        only_adds(text, new)
        assert read_rig(new) == replace(rig, policy={**rig.policy, key: value})
        assert remove_rule(new, key) == text


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_what_is_stated_is_changed_and_removed_and_nothing_else(text: str) -> None:
    rig = read_rig(text)
    for word, way in WAYS.items():
        motion = getattr(rig, word)
        if motion is not None:
            new = change_motion(text, word, {way: "7 m"})
            assert read_rig(new) == with_motion(rig, word, replace(motion, distance=7.0))
            assert read_rig(remove_motion(text, word)) == with_motion(rig, word, None)
    for name, figures in rig.assume.items():
        for key in figures:
            typed, _ = figure_for(rig, name, key)
            new = change_figure(text, name, key, typed, KNOWN)
            assert comments(new) == comments(text)
            assert len(new.splitlines()) == len(text.splitlines())
            left = {k: v for k, v in figures.items() if k != key}
            rest = {k: v for k, v in {**rig.assume, name: left}.items() if v}
            assert read_rig(remove_figure(text, name, key)) == replace(rig, assume=rest)
    for key in rig.policy:
        typed, value = rule_for(key)
        new = change_rule(text, key, typed)
        assert comments(new) == comments(text)
        assert read_rig(new) == replace(rig, policy={**rig.policy, key: value})
        rest_of = {k: v for k, v in rig.policy.items() if k != key}
        assert read_rig(remove_rule(text, key)) == replace(rig, policy=rest_of)


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_what_the_rows_show_typed_again_changes_nothing(text: str) -> None:
    shown = tables(text)
    for row in shown.motions:
        assert change_motion(text, row.key, row.typed) == text
    for row in shown.figures:
        assert change_figure(text, row.of, row.key, row.typed[row.key], KNOWN) == text
    for row in shown.rules:
        assert change_rule(text, row.key, row.typed[row.key]) == text


# The same on rigs made at random, as the writer writes them.


@settings(max_examples=30, deadline=None, suppress_health_check=list(HealthCheck))
@given(written_rigs(), st.data())
def test_a_random_rig_keeps_everything_else(made: tuple[Rig, str], data: st.DataObject) -> None:
    rig, text = made
    text = data.draw(
        st.sampled_from([text, text.rstrip("\n"), f"{text}\n\n# the end\n", text.replace("\n\n", "\n")])
    )
    load = data.draw(st.sampled_from(list(rig.loads)))
    for word, way in WAYS.items():
        if getattr(rig, word) is None:
            new = add_motion(text, word, {"load": load, way: "2 m"})
            assert read_rig(new) == with_motion(rig, word, Motion(load, 2.0))
            assert remove_motion(new, word) == text
    name, key = data.draw(st.sampled_from(figures_free(rig)))
    typed, value = figure_for(rig, name, key)
    new = add_figure(text, name, key, typed, KNOWN)
    assert near(read_rig(new).assume[name][key], value)
    assert remove_figure(new, name, key) == text
    rule = data.draw(st.sampled_from([key for key in POLICY_KEYS if key not in rig.policy]))
    typed, value = rule_for(rule)
    new = add_rule(text, rule, typed)
    assert read_rig(new) == replace(rig, policy={**rig.policy, rule: value})
    assert remove_rule(new, rule) == text


TRICKS = """
1e999 | -5 | nan | .inf | [1, 2] | {a: 1} | 1} # gone | !!python/none x | &a 5 | *a | 5 stone | 5 kg | 5 kN
5 m | >- | - 5 | - | ? | true | null | ~ | 0..0 | 9..1 | 1..2..3 | 0x10 | 1_000 | =1+1 | <script>x()</script>
' | " | yes: no | ? x | %TAG | `5` | @5 | 5 # | #5 | 08 | 1:30 | 5,5 | 1'000 | 50 % | 280 kg
no | off | --- | ...
"""
HOSTILE = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), max_size=40),
    st.sampled_from([word.strip() for line in TRICKS.split("\n") for word in line.split(" | ")]),
    st.sampled_from(
        ["5\x00", "5\u202e kN", "\x1b[31m5", "5\n  static-factor: 1", "9" * 400, "x" * 10_000, "|"]
    ),
)


@settings(max_examples=120, deadline=None)
@given(st.sampled_from(["haul-3-1.rig.yaml", "tower-day-ascent.rig.yaml"]), HOSTILE, st.data())
def test_whatever_is_typed_is_written_as_just_that_or_refused_in_a_sentence(
    example: str, words: str, data: st.DataObject
) -> None:
    text = EXAMPLES[example]
    rig = read_rig(text)
    load = next(iter(rig.loads))
    gear = next(name for name in rig.gear if name not in rig.assume)
    name, key = next((name, key) for name, figures in rig.assume.items() for key in figures)
    rule = data.draw(st.sampled_from(sorted(set(POLICY_KEYS) - set(rig.policy))))
    acts: list[Callable[[], str]] = [
        lambda: add_motion(text, "lower", {"load": load, "down": words}),
        lambda: add_motion(text, "lower", {"load": words, "down": "3"}),
        lambda: add_motion(text, words, {"load": load, "down": "3"}),
        lambda: add_figure(text, gear, "strength", words, KNOWN),
        lambda: add_figure(text, gear, words, "5", KNOWN),
        lambda: add_figure(text, words, "strength", "5 kN", KNOWN),
        lambda: change_figure(text, name, key, words, KNOWN),
        lambda: add_rule(text, rule, words),
        lambda: add_rule(text, words, "5"),
        lambda: remove_rule(text, words),
    ]
    for act in acts:
        try:
            new = act()
        except EditError:
            continue
        gone, _ = changed_lines(text, new)
        assert [line for line in gone if not line.strip().startswith(f"{name}:")] == []
        found = read_rig(new)
        if found == rig:  # a figure changed to what it was, as 280 to 280 kg
            continue
        assert replace(found, lower=rig.lower, assume=rig.assume, policy=rig.policy) == rig
        assert (found.lower != rig.lower) + (found.assume != rig.assume) + (found.policy != rig.policy) == 1


@pytest.mark.parametrize(
    "act",
    [
        lambda words: add_motion(HAUL, "lower", {"load": words, "down": words}),
        lambda words: add_figure(HAUL, words, words, words, KNOWN),
        lambda words: add_figure(HAUL, "grab", "strength", words, KNOWN),
        lambda words: add_rule(HAUL, words, words),
        lambda words: add_rule(HAUL, "source", words),
    ],
)
def test_ten_thousand_characters_are_refused_in_a_short_sentence(act: Callable[[str], str]) -> None:
    with pytest.raises(EditError) as refused:
        act("x" * 10_000)
    assert len(str(refused.value)) < 500


@pytest.mark.parametrize(
    ("act", "told"),
    [
        (
            lambda t: add_motion(t, "haul", {"load": "weight", "up": "2"}),
            "`haul` is stated already; change it there",
        ),
        (
            lambda t: add_motion(t, "lower", {"load": "beam", "down": "2"}),
            "load: `beam` stands under points; what is moved is a load",
        ),
        (
            lambda t: add_motion(t, "lower", {"load": "x", "down": "2"}),
            "load: `x` is no name in this rig; what is moved is a load",
        ),
        (lambda t: add_motion(t, "lower", {"load": "weight"}), "`down` is missing: how far down"),
        (lambda t: add_motion(t, "throw", {}), "found `throw`; a load is moved by haul or lower"),
        (lambda t: change_motion(t, "haul", {"up": "-1"}), "how far up: found -1"),
        (lambda t: change_motion(t, "haul", {"up": ""}), "how far up: `up` is missing"),
        (lambda t: change_motion(t, "lower", {}), "no `lower` with a load and a way stands here"),
        (
            lambda t: add_figure(t, "device", "user-mass", "3", KNOWN),
            "`user-mass` of `device` is stated already, among the figures; change it there",
        ),
        (
            lambda t: add_figure(t, "grab", "ratio", "3", KNOWN),
            "`grab` has no figure `ratio`. It has strength, slips, ",
        ),
        (
            lambda t: add_figure(t, "weight", "strength", "3", KNOWN),
            "`weight` is a load; its figures stand where",
        ),
        (
            lambda t: add_figure(t, "cam-grap", "strength", "3", KNOWN),
            "`cam-grap` is neither a type nor a part of this rig. Did you mean",
        ),
        (
            lambda t: add_figure(t, "grab", "efficiency", "1.2", KNOWN),
            "efficiency: found the number 1.2; efficiency (tension out",
        ),
        (
            lambda t: add_figure(t, "grab", "strength", "16 kg", KNOWN),
            "strength: a mass (16 kg) where a force is wanted",
        ),
        (lambda t: add_figure(t, "grab", "strength", " ", KNOWN), "strength: found nothing; write a figure"),
        (lambda t: remove_figure(t, "grab", "strength"), "no `strength` of `grab` is stated here"),
        (
            lambda t: add_rule(t, "static-facter", "3"),
            "there is no rule `static-facter`. Did you mean `static-factor`?",
        ),
        (
            lambda t: add_rule(t, "chains", "9"),
            "chains: found the number 9; write a whole number from 1 to 4",
        ),
        (
            lambda t: add_rule(t, "static-factor", "2..3"),
            "static-factor: found `2..3`; a rule is one figure, not a range",
        ),
        (lambda t: add_rule(t, "protect-edges", "maybe"), "protect-edges: found `maybe`; write yes or no"),
        (lambda t: add_rule(t, "most-drop", ""), "most-drop: found nothing; write what it asks for"),
        (lambda t: add_rule(t, "name", "a\u202eb"), "name: found the hidden character"),
        (
            lambda t: change_rule(t, "chains", "1"),
            "no rule `chains` is stated here; it may have been removed",
        ),
        (
            lambda t: add_rule(t + "policy: [1]\n", "chains", "1"),
            "`policy` holds no rules by name here; mend it in",
        ),
        (
            lambda t: add_figure(t.replace("{user-mass: 280}", "5"), "device", "mass", "1", KNOWN),
            "`assume` holds no figures for `device` here",
        ),
    ],
)
def test_what_makes_no_sense_is_refused(act: Callable[[str], str], told: str) -> None:
    with pytest.raises(EditError) as refused:
        act(HAUL)
    assert str(refused.value).startswith(told)


# Forms that people write otherwise than the examples.

BLOCKS = """\
rig: T
points: {b: {kind: anchor, at: [0, 9]}}
loads: {w: {kind: object, mass: 5, at: [0, 1]}}
gear: {g: {is: pulley-single, at: [1, 8]}}
ropes: {m: {is: cord-8, run: [tie b, through g, tie w]}}
assume:   # as stamped
  # measured in May
  g:
    # twice
    efficiency: 0.9
policy:
  chains: 1   # one will do
haul: {
  load: w, up: 3 }
"""


def test_comments_on_lines_of_their_own_outlive_what_they_stand_over() -> None:
    text = remove_figure(BLOCKS, "g", "efficiency")
    assert "assume:   # as stamped\n  # measured in May\n    # twice\npolicy:" in text
    assert read_rig(text).assume == {}
    text = add_figure(text, "g", "efficiency", "0.8", KNOWN)
    assert read_rig(text).assume == {"g": {"efficiency": Range.exactly(0.8)}}
    assert comments(text) == comments(BLOCKS)


def test_what_holds_nothing_any_more_goes_too() -> None:
    assert "policy" not in remove_rule(BLOCKS, "chains")
    assert "haul" not in remove_motion(BLOCKS, "haul")
    assert read_rig(change_motion(BLOCKS, "haul", {"up": "5"})).haul == Motion("w", 5.0)


def test_a_comment_inside_brackets_is_not_lost() -> None:
    text = BLOCKS.replace(
        "policy:\n  chains: 1   # one will do", "policy: {\n  # ours\n  chains: 1,\n  # more\n  most-drop: 2}"
    )
    with pytest.raises(EditError, match="a comment stands among this, inside brackets, line 13"):
        remove_rule(text, "chains")


@pytest.mark.parametrize(
    ("add", "remove"),
    [
        (lambda t: add_motion(t, "lower", {"load": "w", "down": "1"}), lambda t: remove_motion(t, "lower")),
        (lambda t: add_figure(t, "m", "mass", "80 g/m", KNOWN), lambda t: remove_figure(t, "m", "mass")),
        (lambda t: add_rule(t, "chains", "1"), lambda t: remove_rule(t, "chains")),
    ],
)
def test_brackets_all_around_stay_brackets(add: Callable[[str], str], remove: Callable[[str], str]) -> None:
    loads = "w: {kind: object, mass: 5, at: [0, 1]}"
    text = f"{{rig: T, loads: {{{loads}}}, ropes: {{m: {{is: cord-8, run: [tie w, tail]}}}}}}"
    new = add(text)
    assert new.endswith("}}")
    assert len(new.splitlines()) == 1
    assert remove(new) == text


def test_a_commented_heading_is_filled_and_emptied_again() -> None:
    text = HAUL.replace(
        "assume:\n  device: {user-mass: 280}", "assume:\n  # device: {user-mass: 280}\npolicy:   # ours"
    )
    new = add_figure(text, "grab", "strength", "16 kN", KNOWN)
    assert remove_figure(new, "grab", "strength") == text
    new = add_rule(text, "chains", "1")
    assert remove_rule(new, "chains") == text


def test_what_a_motion_names_can_be_freed_and_removed() -> None:
    text = remove_motion(BLOCKS, "haul")
    assert "w:" not in remove_part(text, "w", with_uses=True)


def test_old_words_for_yes_and_no_are_left_as_they_are_written() -> None:
    text = BLOCKS.replace("chains: 1", "protect-edges: True")
    assert change_rule(text, "protect-edges", "yes") == text
    assert "protect-edges: false   # one will do" in change_rule(text, "protect-edges", "No")


def test_comments_set_in_below_a_section_stay_with_it() -> None:
    text = HAUL.replace("\n\nhaul:", "\n  # a spare rope lies by\n\nhaul:")
    new = add_motion(remove_motion(text, "haul"), "haul", {"load": "weight", "up": "4"})
    assert "\n  # a spare rope lies by\n\nhaul: {load: weight, up: 4}\n\nassume:" in new


LAYOUTS: dict[str, Callable[[str], str]] = {
    "blocks": lambda text: yaml.safe_dump(yaml.safe_load(text), sort_keys=False),
    "brackets": lambda text: yaml.safe_dump(yaml.safe_load(text), sort_keys=False, default_flow_style=True),
    "other order": lambda text: yaml.safe_dump(yaml.safe_load(text)),
    "marks of a document": lambda text: f"---\n{text}...\n",
    "comments before keys": lambda text: re.sub(r"\n\n(\w)", r"\n# about \1\n\1", text),
    "comments between": lambda text: re.sub(r"\n\n(\w)", r"\n  # inner\n\n# outer\n\1", text),
    "blanks at the end": lambda text: f"{text}\n\n\n# end",
    "no line end": lambda text: text.rstrip("\n"),
}


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=LAYOUTS)
@pytest.mark.parametrize("example", ["haul-3-1.rig.yaml", "anchor-two-legs.rig.yaml"])
def test_however_a_file_is_laid_out_what_comes_goes_again(example: str, layout: Callable[[str], str]) -> None:
    text = layout(EXAMPLES[example])
    load, gear = next(iter(read_rig(text).loads)), next(iter(read_rig(text).gear))
    lowered = add_motion(text, "lower", {"load": load, "down": "3"})
    weighed = add_figure(lowered, gear, "mass", "1 kg", KNOWN)
    ruled = add_rule(weighed, "most-haulers", "3")
    assert read_rig(ruled).policy["most-haulers"] == 3
    assert remove_rule(ruled, "most-haulers") == weighed
    assert remove_rule(remove_figure(remove_motion(ruled, "lower"), gear, "mass"), "most-haulers") == text
