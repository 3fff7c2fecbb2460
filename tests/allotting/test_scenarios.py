"""Two days at the tower with the numbers of the trade: too little gear, and one rope that is too short."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import pytest

from ropewright.allotting import (
    Allotment,
    Item,
    Limit,
    Need,
    Repair,
    Reserve,
    Row,
    Unit,
    allot,
    over_limits,
    repairs_of,
    reserve_kept,
    rows_of,
    times,
    worst_ratio,
)

DAY = date(2026, 6, 6)
FT = 0.3048
GOOD = DAY + timedelta(days=120)
RESERVE = (Reserve("rope", 2, 200 * FT),)
STATIONS = ("S1", "S2", "S3", "S4")

LITTER = (
    ("rope", 2, 200), ("device", 2, None), ("carabiner", 16, None), ("pulley", 4, None),
    ("Prusik pair", 2, None), ("sling", 5, None), ("plate", 2, None), ("edge set", 2, None),
    ("litter", 1, None), ("manikin", 1, None),
)  # fmt: skip
PICK_OFF = (
    ("rope", 2, 200), ("device", 2, None), ("carabiner", 8, None), ("pulley", 1, None),
    ("Prusik pair", 1, None), ("sling", 4, None), ("plate", 1, None), ("edge set", 2, None),
    ("manikin", 1, None),
)  # fmt: skip
LANE = (
    ("rope", 2, 150), ("device", 1, None), ("carabiner", 12, None), ("pulley", 1, None), ("sling", 2, None),
    ("edge set", 1, None), ("descender", 2, None), ("back-up", 2, None), ("clamp set", 2, None),
)  # fmt: skip


def needs(rows: tuple[tuple[str, int, int | None], ...]) -> list[Need]:
    return [
        Need(
            Unit(0),
            kind,
            count,
            length=None if feet is None else feet * FT,
            size="two-person" if kind == "Prusik pair" else "",
        )
        for kind, count, feet in rows
    ]


def class_needs() -> tuple[Need, ...]:
    return (
        *times(needs(LITTER), 0, "S1", 1),
        *times(needs(LITTER), 1, "S2", 1),
        *times(needs(PICK_OFF), 2, "S3", 1),
        *times(needs(LANE), 3, "S4", 2),
    )


def owned(kind: str, count: int, *out: str, size: str = "", feet: int | None = None) -> Iterator[Item]:
    """So many of a type; the first of them out for the reasons given."""
    for k in range(count):
        yield Item(
            f"{kind} {feet or ''}{size} {k + 1}",
            kind,
            length=None if feet is None else feet * FT,
            size=size,
            due=GOOD,
            reason=out[k] if k < len(out) else "",
        )


def cache() -> list[Item]:
    late = next(owned("rope", 1, feet=150))
    return [
        *owned("rope", 6, "quarantined: heat glaze", "quarantined: no history", feet=200),
        *list(owned("rope", 4, feet=150))[1:],
        replace(late, due=DAY - timedelta(days=20)),
        *owned("device", 6),
        *owned("carabiner", 70, *["quarantined: untagged"] * 8),
        *owned("pulley", 12),
        *owned("Prusik pair", 4, size="two-person"),
        *owned("Prusik pair", 2, size="personal"),
        *owned("sling", 18),
        *owned("plate", 5),
        *owned("edge set", 6),
        *owned("litter", 2),
        *owned("manikin", 2),
        *owned("descender", 4),
        *owned("back-up", 4),
        *owned("clamp set", 5),
        *(replace(i, mark=f"rig {i.mark}", front_line=True) for i in owned("rope", 4, feet=200)),
    ]


@pytest.fixture(scope="module")
def found() -> Allotment:
    return allot(class_needs(), cache(), DAY)


@pytest.fixture(scope="module")
def table(found: Allotment) -> dict[str, Row]:
    rows = rows_of(found, cache(), DAY)
    return {f"{row.type} {row.length / FT:.0f}" if row.length else row.type: row for row in rows}


@pytest.mark.parametrize(
    ("what", "need", "own", "out", "have", "gap", "status"),
    [
        ("rope 200", 6, 6, 2, 4, 2, "short"),
        ("rope 150", 4, 4, 1, 3, 1, "short"),
        ("device", 8, 6, 0, 6, 2, "short"),
        ("carabiner", 64, 70, 8, 62, 2, "short"),
        ("pulley", 11, 12, 0, 12, 0, "ok"),
        ("Prusik pair", 5, 6, 2, 4, 1, "short"),
        ("sling", 18, 18, 0, 18, 0, "ok, no spare"),
        ("plate", 5, 5, 0, 5, 0, "ok, no spare"),
        ("edge set", 8, 6, 0, 6, 2, "short"),
        ("litter", 2, 2, 0, 2, 0, "ok, no spare"),
        ("manikin", 3, 2, 0, 2, 1, "short"),
        ("descender", 4, 4, 0, 4, 0, "ok, no spare"),
        ("back-up", 4, 4, 0, 4, 0, "ok, no spare"),
        ("clamp set", 4, 5, 0, 5, 0, "ok"),
    ],
)
def test_every_row_of_the_class_without_enough_gear(
    table: dict[str, Row], what: str, need: int, own: int, out: int, have: int, gap: int, status: str
) -> None:
    row = table[what]
    assert (row.need, len(row.own), len(row.out), row.have, row.gap, row.status) == (
        need,
        own,
        out,
        have,
        gap,
        status,
    )


def test_the_table_has_no_other_rows(table: dict[str, Row]) -> None:
    assert len(table) == 14


def test_what_cannot_be_used_is_named_with_the_reason(table: dict[str, Row]) -> None:
    assert [why for _, why in table["rope 200"].out] == ["quarantined: heat glaze", "quarantined: no history"]
    assert [why for _, why in table["rope 150"].out] == ["inspection due 2026-05-17, 20 days before"]
    assert {why for _, why in table["Prusik pair"].out} == {"is size personal, two-person is asked"}


def test_two_of_the_four_ropes_on_the_rig_could_be_lent() -> None:
    (kept,) = reserve_kept(RESERVE, cache(), DAY)
    assert (kept.holds, kept.lendable, kept.short) == (4, 2, 0)
    lent = allot(class_needs(), cache(), DAY, reserve=RESERVE, lend=True)
    assert [item.mark for item in lent.lent] == ["rig rope 200 1", "rig rope 200 2"]
    assert lent.goals.reserve == 0


def _steps(found: Allotment) -> dict[str, Repair]:
    out = {}
    for repair in repairs_of(found, cache(), DAY, RESERVE).steps:
        for left in repair.leave:
            out[f"{STATIONS[left.line]} {left.count} of {left.of}"] = repair
        if repair.inspect:
            out["inspect"] = repair
        if repair.lend:
            out["lend"] = repair
    return out


def _missing(found: Allotment, repair: Repair) -> dict[str, int]:
    """What is missing after a repair, by row."""
    out: dict[str, int] = {}
    for need, missing in zip(found.needs, repair.unmet, strict=True):
        if missing:
            name = f"{need.type} {need.length / FT:.0f}" if need.length else need.type
            out[name] = out.get(name, 0) + missing
    return out


def test_without_the_second_station_all_but_the_150_ft_rope_is_covered(found: Allotment) -> None:
    assert _missing(found, _steps(found)["S2 1 of 1"]) == {"rope 150": 1}


def test_the_rope_inspected_or_one_lane_closed_covers_the_150_ft_rope(found: Allotment) -> None:
    steps = _steps(found)
    assert [item.mark for item in steps["inspect"].inspect] == ["rope 150 1"]
    assert "rope 150" not in _missing(found, steps["inspect"])
    assert "rope 150" not in _missing(found, steps["S4 1 of 2"])


def test_lending_two_ropes_alone_leaves_the_rest_missing(found: Allotment) -> None:
    step = _steps(found)["lend"]
    assert len(step.lend) == 2
    assert _missing(found, step)["device"] == 2


def test_the_ways_out_are_the_second_station_dropped_and_rope_or_lane(found: Allotment) -> None:
    ways = repairs_of(found, cache(), DAY, RESERVE).ways
    told = {
        (
            tuple((STATIONS[left.line], left.count) for left in way.leave),
            tuple(i.mark for i in way.inspect),
            len(way.lend),
        )
        for way in ways
    }
    assert told == {
        ((("S2", 1), ("S4", 1)), (), 0),
        ((("S2", 1),), ("rope 150 1",), 0),
        ((("S2", 1),), (), 1),
    }
    assert all(way.short == 0 for way in ways)


def test_what_would_have_to_come_from_elsewhere_closes_every_gap(found: Allotment) -> None:
    fetch = repairs_of(found, cache(), DAY, RESERVE).fetch
    assert sum(one.count for one in fetch) == found.short == 11
    brought = [
        Item(f"new {k} {n}", one.need.type, one.need.length, size=one.need.size, due=GOOD)
        for k, one in enumerate(fetch)
        for n in range(one.count)
    ]
    assert allot(class_needs(), [*cache(), *brought], DAY).short == 0


def test_three_groups_of_eight_break_one_to_six() -> None:
    assert worst_ratio(24, 4, 4).within(6)
    three = worst_ratio(24, 4, 3)
    assert (three.students, three.instructors) == (8, 1)
    assert not three.within(6)


# --- the fixed-line day

HARNESS = Limit(Unit(0), "student", "harness of student", "harness", 140.0, 0.0)
ROSTER = (78, 84, 88, 91, 93, 95, 97, 99, 104, 112, 121, 146)


def test_the_75_ft_rope_is_refused_for_its_lane() -> None:
    needs = times([Need(Unit(0), "rope", 2, length=90 * FT)], 0, "lane", 3)
    stock = [*owned("rope", 5, feet=100), *owned("rope", 1, feet=75)]
    found = allot(needs, stock, DAY)
    (row,) = rows_of(found, stock, DAY)
    assert (row.need, len(row.own), row.have, row.gap) == (6, 6, 5, 1)
    assert [(item.mark, why) for item, why in row.out] == [
        ("rope 75 1", "is 22.9 m (75 ft) long, 27.4 m (90 ft) is asked")
    ]
    (way,) = repairs_of(found, stock, DAY).ways
    assert [(left.line, left.count, left.of) for left in way.leave] == [(0, 1, 3)]


def test_only_the_heaviest_student_is_over_the_harness_limit() -> None:
    over = over_limits([(f"student {m}", float(m)) for m in ROSTER], [HARNESS])
    assert [(one.name, one.limits) for one in over] == [("student 146", (HARNESS,))]


def test_a_plan_that_lends_already_is_not_told_to_lend() -> None:
    lent = allot(class_needs(), cache(), DAY, reserve=RESERVE, lend=True)
    repairs = repairs_of(lent, cache(), DAY, RESERVE, lend=True)
    assert not any(step.lend and not (step.leave or step.inspect) for step in repairs.steps)
    assert all(way.short == 0 for way in repairs.ways)
