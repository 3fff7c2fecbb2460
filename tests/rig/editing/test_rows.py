"""A rig's text as tables: cells as they would be typed."""

import pytest

from ropewright.rig.editing import EditError, UnreadableError, change_contact, change_part
from ropewright.rig.editing.rows import contact_words, tables
from tests.rig.editing.test_parts import EXAMPLES, HAUL


@pytest.mark.parametrize("text", EXAMPLES.values(), ids=EXAMPLES)
def test_what_the_cells_show_typed_again_changes_nothing(text: str) -> None:
    shown = tables(text)
    for row in (row for rows in shown.parts.values() for row in rows):
        assert change_part(text, row.name, row.values) == text
    for rope in shown.ropes:
        assert change_part(text, rope.part.name, rope.part.values) == text
        for contact in rope.contacts:
            words = contact_words(contact.values)
            assert words == contact.words
            assert change_contact(text, rope.part.name, contact.index, words) == text


def test_numbers_are_shown_as_they_are_written() -> None:
    assert tables(HAUL.replace("mass: 100", "mass: 100.50")).parts["loads"][0].values["mass"] == "100.50"


def test_a_list_that_is_stated_to_be_empty_is_not_one_left_out() -> None:
    rows = tables(HAUL.replace("at: beam}", "at: beam, via: []}")).parts["gear"]
    assert [row.values["via"] for row in rows] == ["nothing", "", "", ""]


def test_slack_is_shown_in_the_words_of_the_file() -> None:
    text = EXAMPLES["tower-day-ascent.rig.yaml"]
    assert [c.values["slack"] for c in tables(text).ropes[0].contacts] == ["", "30 ft", "", "", ""]


def test_a_contact_that_cannot_be_read_is_shown_as_it_stands() -> None:
    contact = tables(HAUL.replace("through device", "throgh  device")).ropes[0].contacts[2]
    assert (contact.words, contact.line, contact.values) == ("throgh device", 30, {})


def test_a_part_that_is_no_mapping_is_shown_without_cells() -> None:
    row = tables("rig: T\npoints: {a: 5}\nropes: [1]\n").parts["points"][0]
    assert (row.name, row.line, row.readable) == ("a", 2, False)


def test_too_many_rows_are_refused() -> None:
    text = "points:\n" + "".join(f"  p{n}: {{kind: stand, at: [0, {n}]}}\n" for n in range(401))
    with pytest.raises(EditError, match="401 rows are more than these tables hold"):
        tables(text)


def test_a_broken_text_is_told_with_its_faults() -> None:
    with pytest.raises(UnreadableError) as refused:
        tables("rig: {\n")
    assert refused.value.faults[0].line == 2


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"verb": "tail", "target": "beam"}, "tail"),
        ({"verb": "tie", "target": "beam", "knot": "bowline", "reversed": "yes"}, "tie beam with bowline"),
        ({"verb": "through", "target": "twin", "sheave": "2", "knot": "x"}, "through twin.2"),
        ({"verb": "grip", "target": "g", "slack": "1 ft", "reversed": "yes"}, "grip g slack 1 ft reversed"),
        ({"verb": "hand", "target": ""}, "hand"),
    ],
)
def test_choices_become_the_words_of_a_contact(values: dict[str, str], words: str) -> None:
    assert contact_words(values) == words
