"""What is told in two places is told alike: counts and lists, one bite direction, lengths in both systems."""

from __future__ import annotations

import pytest

from ropewright.cli.summary.page import summary
from ropewright.judgement.findings import findings
from ropewright.judgement.rules import Context
from ropewright.sheets.procedure_sheets import SHEETS
from ropewright.sheets.telling import in_both

from .cards import NAMES, card, examined
from .stories import story


@pytest.mark.parametrize("name", NAMES)
def test_a_card_counts_as_many_cautions_as_it_lists(name: str) -> None:
    made = card(name)
    section = made.section("cautions")
    listed = [line for line in section.lines if line.lead == "Caution"] if section else []
    told = f"{len(listed)} caution{'' if len(listed) == 1 else 's'}"
    assert (told in made.policy) == bool(listed)


@pytest.mark.parametrize("name", ["lower-main-and-second", "tower-day-lane"])
def test_the_command_line_counts_as_many_cautions_as_it_lists(name: str) -> None:
    x = examined(name)
    text = summary("f", Context(x), findings(x))
    assert f"{text.count('  caution ')} caution" in text.partition("What was found")[0]


def test_two_grabs_on_one_strand_bite_towards_the_same() -> None:
    section = card("tower-day-ascent").section("check")
    assert section is not None
    rows = {row.what: row.how for row in section.rows}
    upper = next(how for what, how in rows.items() if what.startswith("upper") and " on working" in what)
    chest = next(how for what, how in rows.items() if what.startswith("chest") and " on working" in what)
    assert upper.startswith("bites when pulled towards ")
    assert chest.split(";")[0].split(",")[0] == upper.split(";")[0].split(",")[0]


@pytest.mark.parametrize(
    ("text", "units", "said"),
    [
        ("advance backup up 0.25 m", "both", "advance backup up 0.25 m (0.8 ft)"),
        ("stand in foot up 300 mm", "both", "stand in foot up 300 mm (1 ft)"),
        ("lower student down 6 ft", "both", "lower student down 1.83 m (6 ft)"),
        ("lower student down 6 ft", "us", "lower student down 6 ft"),
        ("take in line until 50 mm left", "us", "take in line until 1.97 in left"),
        ("put pulley.2 on rope-11 below grab2", "both", "put pulley.2 on rope-11 below grab2"),
    ],
)
def test_lengths_of_a_step_stand_in_both_systems(text: str, units: str, said: str) -> None:
    assert in_both(text, units) == said  # type: ignore[arg-type]


def test_the_sheets_have_the_lengths_of_steps_in_both_systems() -> None:
    block = SHEETS["brief"](story("ascent-to-descent")).block("steps")
    assert block is not None
    assert block.steps[1].text == "advance backup up 0.25 m (0.8 ft)"
