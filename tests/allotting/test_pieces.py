"""The pieces of shipped rigs, with what each has to bear."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import pytest

from ropewright.allotting import Need, Worn, limits_of, needs_of
from ropewright.catalogue import load_catalogue
from ropewright.effort import prepare
from ropewright.judgement.examine import examine
from ropewright.judgement.report import report
from ropewright.rig import read_rig

FT = 0.3048
GRAVITY = 9.80665


@cache
def rigged(name: str) -> tuple[tuple[Need, ...], tuple[Worn, ...]]:
    catalogue = load_catalogue()
    text = (files("ropewright") / "examples" / f"{name}.rig.yaml").read_text(encoding="utf-8")
    rig = read_rig(text, catalogue)
    prepared = prepare(rig, catalogue)
    return needs_of(prepared, report(examine(rig, catalogue))), limits_of(prepared)


def by_part(name: str) -> dict[str, Need]:
    return {part: need for need in rigged(name)[0] for part in need.parts}


def test_every_piece_of_a_lane_is_counted() -> None:
    counts: dict[str, int] = {}
    for need in rigged("tower-day-lane")[0]:
        counts[need.type] = counts.get(need.type, 0) + need.count
    assert counts == {
        "rope-11-low-stretch": 2,
        "bar-rack": 2,
        "descender-self-braking": 1,
        "running-back-up": 1,
        "carabiner-locking": 4,
        "lanyard": 1,
        "harness": 1,
    }


def test_a_lane_with_releasable_anchors_needs_90_ft() -> None:
    for rope in ("working", "second"):
        assert by_part("tower-day-lane")[rope].length == pytest.approx(90 * FT, abs=0.005)


def test_a_harness_bears_ten_times_the_weight() -> None:
    need = by_part("tower-day-lane")["harness of student"]
    assert need.strength == pytest.approx(10 * 95 * GRAVITY, rel=1e-3)
    assert (need.user_mass, need.type_strength, need.type_user_mass) == (95.0, 15_000.0, 140.0)


def test_a_rope_bears_more_than_its_load_by_what_its_knot_takes() -> None:
    need = by_part("litter-and-attendant")["bridle"]
    assert need.strength is not None
    assert need.strength > 10 * 110 * GRAVITY * 1.2


def test_what_protects_an_edge_is_brought() -> None:
    assert by_part("parapet-roller")["roller at lip"].type == "roller"


def test_what_nobody_rated_has_no_figure_to_stand_in() -> None:
    assert by_part("litter-and-attendant")["head"].type_strength == 45_000.0  # stated in the file
    assert by_part("tower-day-lane")["lanyard 2 of backup"].type_user_mass is None


def test_the_limits_of_a_lane_are_the_students() -> None:
    assert {(worn.part, worn.most) for worn in rigged("tower-day-lane")[1]} == {
        ("harness of student", 140.0),
        ("descender", 150.0),
        ("backup", 140.0),
    }


def test_the_attendants_device_carries_the_litter_besides() -> None:
    worn = {worn.part: worn for worn in rigged("litter-and-attendant")[1]}
    assert (worn["main-device"].person, worn["main-device"].others) == ("attendant", 110.0)
