"""YAML text: core scalars, places, and text that is meant to do harm."""

import math
from typing import Any

import pytest

from ropewright.rig import RigFileError
from ropewright.rig.yamltext import MOST_LEVELS, MOST_NODES, load_yaml, path_text, reads_as_text


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("12", 12),
        ("-0", 0),
        ("0o14", 12),
        ("0xC", 12),
        ("1.5e3", 1500.0),
        (".5", 0.5),
        ("true", True),
        ("False", False),
        ("null", None),
        ("~", None),
        ("no", "no"),
        ("on", "on"),
        ("1:30", "1:30"),
        ("1_000", "1_000"),
        ("2024-01-01", "2024-01-01"),
        ("'12'", "12"),
        ('"true"', "true"),
        ("0.85..0.95", "0.85..0.95"),
        ("=", "="),
    ],
)
def test_scalars_are_those_of_the_core_schema(text: str, value: Any) -> None:
    found = load_yaml(f"a: {text}").value["a"]
    assert found == value
    assert type(found) is type(value)


def test_no_number_and_the_infinite_are_read_so_that_they_can_be_refused() -> None:
    found = load_yaml("a: .nan\nb: -.inf\nc: 1e400").value
    assert math.isnan(found["a"])
    assert found["b"] == -math.inf
    assert found["c"] == math.inf


def test_every_key_and_value_remembers_its_place() -> None:
    tree = load_yaml("a:\n  b: {c: 1}\n  d:\n    - x\n    - y\n")
    assert tree.place(("a", "b", "c")) == (2, 10)
    assert tree.place(("a", "b", "c"), key=True) == (2, 7)
    assert tree.place(("a", "d", 1)) == (5, 7)


def test_what_is_missing_has_the_place_of_its_parents_key() -> None:
    tree = load_yaml("a:\n  b: {c: 1}\n")
    assert tree.place(("a", "b", "lost")) == (2, 3)
    assert tree.place(("lost",)) == (1, 1)


def test_a_path_counts_list_items_from_one() -> None:
    assert path_text(("ropes", "main", "run", 2)) == "ropes.main.run[3]"


def test_a_repeated_key_keeps_the_first_value_and_its_places() -> None:
    tree = load_yaml("a: {x: 1}\na: {x: 2}\n")
    assert tree.value == {"a": {"x": 1}}
    assert tree.place(("a", "x")) == (1, 8)
    assert [fault.line for fault in tree.faults] == [2]


@pytest.mark.parametrize("opening", ["[", "{a: ", "- "])
def test_deep_nesting_is_refused_quickly(opening: str) -> None:
    with pytest.raises(RigFileError) as refused:
        load_yaml(opening * 20_000)
    assert len(refused.value.faults) == 1


def test_the_limit_of_nesting_is_where_it_says() -> None:
    load_yaml("[" * MOST_LEVELS + "]" * MOST_LEVELS)
    with pytest.raises(RigFileError, match="nested more than 40 levels deep"):
        load_yaml("[" * (MOST_LEVELS + 1) + "]" * (MOST_LEVELS + 1))


def test_a_flood_of_values_is_refused() -> None:
    with pytest.raises(RigFileError, match="more than 50000 values"):
        load_yaml(f"[{'1,' * (MOST_NODES + 1)}]")


def test_aliases_do_not_multiply() -> None:
    bomb = "a: &a [x, x]\n" + "".join(
        f"{chr(98 + n)}: &{chr(98 + n)} [*{chr(97 + n)}, *{chr(97 + n)}]\n" for n in range(20)
    )
    assert len(load_yaml(bomb).faults) == 61


@pytest.mark.parametrize("hidden", ["\u200b", "\u00ad", "\u2060", "\u3164", "\u2800", "\U000e0041", "\u202e"])
def test_a_character_without_width_or_ink_is_refused(hidden: str) -> None:
    with pytest.raises(RigFileError, match=r"found the hidden character U\+"):
        load_yaml(f"rig: a{hidden}b")


@pytest.mark.parametrize("text", ["یخ\u200cنورد", "👩\u200d🚒", "é e\u0301", "綱"])
def test_what_a_script_needs_is_read(text: str) -> None:
    assert load_yaml(f"rig: {text}").value == {"rig": text}


@pytest.mark.parametrize("text", ["true", "12", "1e3", "null", "~", "", ".inf", "0x1F"])
def test_words_that_would_be_something_else_are_known(text: str) -> None:
    assert not reads_as_text(text)
