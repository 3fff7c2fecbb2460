"""Advice to state a figure, followed: the text then reads, and what was stated is not asked for again."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
import yaml

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.judgement.examine import examine
from ropewright.judgement.findings import findings
from ropewright.judgement.rules import Finding
from ropewright.rig import read_rig
from tests.advice import advised, stated
from tests.judgement.texts import EDGE, HANG, HAUL, LEGS, LOWER


@cache
def nothing_known() -> Catalogue:
    """The catalogue's types with no figure of them known."""
    kinds = load_catalogue().values()
    return Catalogue(
        replace(k, figures={name: replace(f, value=None) for name, f in k.figures.items()}) for k in kinds
    )


def found(text: str, catalogue: Catalogue) -> tuple[Finding, ...]:
    return findings(examine(read_rig(text, catalogue), catalogue))


ALL = {"hang": HANG, "lower": LOWER, "haul": HAUL, "legs": LEGS, "edge": EDGE}


@pytest.mark.parametrize(
    ("name", "known"), [*((name, False) for name in ALL), ("hang", True), ("lower", True)]
)
def test_what_is_to_be_stated_can_be_stated(name: str, known: bool) -> None:
    catalogue = load_catalogue() if known else nothing_known()
    text = yaml.safe_dump(yaml.safe_load(ALL[name]) | {"assume": {}}, sort_keys=False)
    first = advised(f.repair for f in found(text, catalogue))
    assert first
    again = advised(f.repair for f in found(stated(text, first), catalogue))
    assert not first & again


def test_a_knot_of_which_nobody_knows_what_it_leaves_is_stated_by_its_type() -> None:
    text = HANG.replace("assume:\n", "assume:\n  rope-12.5-low-stretch: {strength: 40 kN}\n")
    repairs = [f.repair for f in found(text, nothing_known()) if f.code == "strength-unknown"]
    assert (
        "test what it leaves of the rope's strength, and state it under `assume: figure-eight-bight: keeps`"
        in repairs
    )
