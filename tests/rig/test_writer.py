"""Writing: what is written reads back as the same rig, and always as the same bytes."""

import os

import pytest
from hypothesis import HealthCheck, given, settings

from ropewright.rig import Rig, RigFileError, read_rig, write_rig
from ropewright.rig.writer import quoted
from ropewright.rig.yamltext import load_yaml
from tests.rig.strategies import rigs, words

MANY = 1000 if "ROPEWRIGHT_ALL" in os.environ else 80
"""Random rigs that are written and read; more where `make test-long` says so."""


def as_readable(rig: Rig) -> Rig | None:
    """Read what was written; None where chance put two parts at one place, which the reader refuses."""
    text = write_rig(rig)
    try:
        return read_rig(text)
    except RigFileError as error:
        faults = error.faults
    unlucky = ("at one place", "is no distance", "the grips cross")
    assert all(any(word in fault.text for word in unlucky) for fault in faults), f"{faults}\n{text}"
    return None


@settings(max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(rigs())
def test_reading_what_was_written_gives_the_same_rig(rig: Rig) -> None:
    found = as_readable(rig)
    if found is not None:
        assert found == rig
        assert write_rig(found) == write_rig(rig)


@given(words(80))
def test_any_words_are_quoted_so_that_they_read_as_they_were(text: str) -> None:
    assert load_yaml(f"a: {quoted(text)}\nb: {{c: {quoted(text)}, d: 1}}").value == {
        "a": text,
        "b": {"c": text, "d": 1},
    }


@pytest.mark.parametrize(
    "text", ["yes", "No", "null", "12", "1e3", "a: b", "- a", "#x", "a #b", "{a", "'a'", "é"]
)
def test_words_that_could_be_read_otherwise_are_in_quotes(text: str) -> None:
    assert quoted(text).startswith('"')


@pytest.mark.parametrize("text", ["beam", "rope-12.5-low-stretch", "Haul on the main line"])
def test_plain_words_stay_plain(text: str) -> None:
    assert quoted(text) == text
