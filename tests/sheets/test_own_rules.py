"""Looser rules of a file's own stand on every sheet with what is asked otherwise."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.cli.summary.page import summary
from ropewright.cli.summary.procedure import proof_summary
from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.own_rules import sentence
from ropewright.judgement.rules import Context, pull_of
from ropewright.rig import TeamPolicy, read_rig
from ropewright.sheets.content import card_of
from ropewright.sheets.leaf_text import leaf_text
from ropewright.sheets.procedure_sheets import SHEETS

from .cards import FOLDER, card, examined
from .stories import story

KNOWN = load_catalogue()
SHIPPED = "grab-factor 4, the shipped policy asks 10 as of every part (looser)"


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_sheet_of_a_procedure_tells_the_looser_rule(sheet: str) -> None:
    leaf = SHEETS[sheet](story("ascent-to-descent"))
    assert leaf.own == f"By rules of the file's own: {SHIPPED}."
    assert leaf.own in " ".join(leaf_text(leaf).split())


def test_the_card_and_the_command_line_tell_it_too() -> None:
    x = examined("tower-day-ascent")
    assert SHIPPED in card("tower-day-ascent").told_first[0]
    assert SHIPPED in " ".join(summary("f", Context(x), findings(x)).split())
    told = story("ascent-to-descent")
    assert SHIPPED in " ".join(proof_summary("f", told.world, told.proof).split())


def test_a_team_is_named_where_there_is_one() -> None:
    x = examined("tower-day-ascent")
    of_team = replace(x, rig=replace(x.rig, team=TeamPolicy("Tern Harbor")))
    made = card_of(of_team, None, file="f", time="t")
    assert "grab-factor 4, the team asks 10 as of every part (looser)" in made.told_first[0]
    assert made.told_first[0].startswith("By rules of the file's own (some looser): ")


def test_nothing_is_said_where_a_file_has_no_rules_of_its_own() -> None:
    assert sentence(examined("descent-locked-off").rig) == ""
    assert not any("of the file's own" in said for said in card("descent-locked-off").told_first)


def test_each_margin_shows_what_it_is_held_against() -> None:
    section = card("tower-day-ascent").section("parts")
    assert section is not None
    assert section.table is not None
    assert section.table.head[-2:] == ("has of asked", "when")
    asked = {row[0]: row[-2].partition(" of ")[2] for row in section.table.rows}
    assert (asked["upper"], asked["chest"], asked["working"]) == ("4", "4", "10")
    assert asked["upper, catching"] == "1"
    (line,) = [line.text for line in section.after if line.lead == "asked:"]
    assert line == "10 to breaking, grabs 4; after a failure 1"


def test_a_crew_counted_on_for_more_is_told_beside_the_verdict_and_never_as_sustained() -> None:
    made = card("haul-3-1")
    assert "pull of haulers 0.20 kN" in made.told_first[0]
    assert "the shipped policy counts on 0.13 kN" in made.told_first[0]
    who = made.section("who")
    assert who is not None
    (line,) = [line for line in who.lines if "as in the file" in line.lead]
    assert line.text.startswith("enough as stated, 0.20 kN")
    assert "by the team's sustained 0.13 kN (30 lbf) NOT surely enough" in line.text
    assert "at the sustained figure" not in line.text


def test_too_few_are_too_few_however_strong_the_file_states_them() -> None:
    text = (FOLDER / "haul-3-1.rig.yaml").read_text("utf-8")
    text = text.replace("people: 3, pull: 0.2", "people: 1, pull: 0.14")
    x = examine(read_rig(text, KNOWN), KNOWN)
    who = card_of(x, None, file="f", time="t").section("who")
    assert who is not None
    (line,) = [line for line in who.lines if "as in the file" in line.lead]
    assert line.text.startswith("TOO FEW, even at best case; as stated they give 0.14 kN")
    assert line.strong


def test_what_falls_below_the_factor_by_a_failure_alone_is_held_against_breaking() -> None:
    section = card("litter-and-attendant").section("parts")
    assert section is not None
    assert section.table is not None
    after = [(number, row) for number, row in enumerate(section.table.rows) if row[4] == "failure"]
    below = {row[0]: number for number, row in after if row[3].endswith(" of 1")}
    assert set(below) == {"bridle at head", "bridle at litter"}
    assert not set(below.values()) & set(section.table.strong)
    assert any(row[3].endswith(" of 10") for _, row in after)  # these keep the policy's factor even so


def test_the_teams_own_figure_in_the_other_system_is_not_called_looser_than_it() -> None:
    text = (FOLDER / "haul-3-1.rig.yaml").read_text("utf-8")
    x = examine(read_rig(text.replace("pull: 0.2", "pull: 30 lbf"), KNOWN), KNOWN)
    made = card_of(x, None, file="f", time="t")
    assert not any("looser" in told for told in made.told_first)
    assert "crew-counted-looser" not in {f.code for f in findings(x)}


def test_a_pull_that_is_named_counts_alike_in_the_check_and_on_the_card() -> None:
    """The file names the figure for a short pull: both count it as its own, and tell that it is looser."""
    text = (FOLDER / "litter-roller-crew.rig.yaml").read_text("utf-8")
    assert "people: 7}" in text
    told = {}
    for pull in ("hauler-best-case", "222 N"):
        rig = read_rig(text.replace("people: 7}", f"people: 7, pull: {pull}}}"), KNOWN)
        x = examine(rig, KNOWN, samples=64)
        section = card_of(x, None, file="f", time="t").section("who")
        assert section is not None
        line = next(line.text for line in section.lines if line.lead == "7 haulers as in the file:")
        codes = {f.code for f in findings(x) if f.part == "haulers"}
        told[pull] = pull_of(Context(x), "haulers"), codes, line
    assert told["hauler-best-case"] == told["222 N"]
    (each, _, together), codes, line = told["222 N"]
    assert (each, together) == (222, 7 * 222)
    assert "crew-counted-looser" in codes
    assert line.startswith("enough as stated, 0.22 kN (50 lbf) each, looser than the team's")
