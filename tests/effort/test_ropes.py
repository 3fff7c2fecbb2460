"""How long a line has to be, to the foot."""

import pytest

from ropewright.effort import answer, lanes, line_needs
from ropewright.judgement.findings import findings
from tests.effort.rigs import lane, prepared, self_haul, three_to_one
from tests.judgement.texts import examined

FOOT = 0.3048
ALLOWANCES = 18 * FOOT  # 10 ft behind the anchor, 3 ft in the knot, 5 ft of tail


def test_a_releasable_anchor_needs_the_height_again_behind_it() -> None:
    (need,) = line_needs(prepared(lane()))
    assert need.releasable
    assert need.runs == pytest.approx(12.8)
    assert need.reserve == pytest.approx(8.0)
    assert need.needed == pytest.approx(12.8 + 8.0 + ALLOWANCES)


def test_a_greater_reserve_of_the_policy_takes_its_place() -> None:
    (need,) = line_needs(prepared(lane(reserve="rope-reserve: 30 ft")))
    assert need.reserve == pytest.approx(30 * FOOT)
    assert need.needed / FOOT == pytest.approx(90.0, abs=0.02)  # 12.8 m is 41.995 ft
    assert need.is_enough(100 * FOOT)
    assert need.is_enough(90 * FOOT)
    assert not need.is_enough(75 * FOOT)


def test_spare_that_is_laid_in_is_counted_once() -> None:
    """42 ft of way, 30 of reserve, 18 for anchor, knots and tail, wherever the reserve lies."""
    text = lane(reserve="rope-reserve: 30 ft").replace("slack 0.3", "slack 30 ft")
    (need,) = line_needs(prepared(text))
    assert need.behind == pytest.approx(10 * FOOT)
    assert need.needed / FOOT == pytest.approx(90.0, abs=0.02)


def test_a_device_that_is_not_tied_off_needs_no_spare() -> None:
    (need,) = line_needs(prepared(lane().replace(", state: locked-off", "")))
    assert not need.releasable
    assert need.reserve == 0.0


def test_a_person_lower_than_the_way_down_needs_that_way() -> None:
    (need,) = line_needs(prepared(lane(ground="-5")))
    assert need.runs == pytest.approx(17.8)
    assert need.reserve == pytest.approx(13.0)


def test_a_hauling_line_is_as_long_as_it_is_reeved() -> None:
    (need,) = line_needs(prepared(three_to_one()))
    assert need.runs == pytest.approx(11 + 7 + 25)
    assert need.needed == pytest.approx(43 + 8 * FOOT)


def test_a_climbers_own_rope_also_reaches_the_ground() -> None:
    (need,) = line_needs(prepared(self_haul()))
    assert need.runs == pytest.approx(6 + 3 * 1.8 + 1.2)


def test_a_crew_pays_out_what_it_lowers() -> None:
    text = three_to_one().replace("haul: {load: weight, up: 4}", "lower: {load: weight, down: 0.5}")
    text = text.replace("grip grab, through device, through traveller", "through device").replace(
        "device: {is: lower-raise-device, at: beam}",
        "device: {is: lower-raise-device, at: beam, state: in-hand}",
    )
    text = "\n".join(
        line for line in text.splitlines() if "is: cam-grab" not in line and "is: pulley" not in line
    )
    text = "\n".join(line for line in text.splitlines() if "traveller:" not in line)
    (need,) = line_needs(prepared(text))
    assert need.paid == pytest.approx(0.5)
    assert need.needed == pytest.approx(11 + 18 + 0.5 + 8 * FOOT)


def test_ropes_tied_at_both_ends_are_no_lines() -> None:
    text = three_to_one().replace(
        "ropes:\n",
        "ropes:\n  sling: {is: cord-8, run: [tie beam with bowline, tie weight with bowline slack 9]}\n",
    )
    assert [need.rope for need in line_needs(prepared(text))] == ["main"]


@pytest.mark.parametrize("slack", ["0.3", "30 ft", "40 ft"])
@pytest.mark.parametrize("feet", [81, 85, 89, 91, 101])
def test_the_check_and_who_refuse_the_same_ropes_for_the_same_length(slack: str, feet: int) -> None:
    """Spare laid beyond the reserve has to be there too; else 90 ft, whatever is laid."""
    text = lane(length=f"{feet} ft", reserve="rope-reserve: 30 ft").replace("slack 0.3", f"slack {slack}")
    stops = [f for f in findings(examined(text)) if f.code == "rope-too-short"]
    found = answer(prepared(text))
    assert bool(stops) == any("refused" in reason for o in found.outlooks for reason in o.reasons)
    needs = 100 if slack == "40 ft" else 90
    assert bool(stops) == (feet < needs)
    if stops:
        assert (
            stops[0].repair == f"use a rope of at least {'30.5' if needs == 100 else '27.5'} m ({needs} ft)"
        )


def test_each_rope_at_hand_is_used_in_one_lane() -> None:
    (need,) = line_needs(prepared(lane(reserve="rope-reserve: 30 ft")))
    five = [100 * FOOT] * 5
    assert lanes([need], [*five, 75 * FOOT]) == 5
    assert lanes([need, need], [*five, 75 * FOOT]) == 2
    assert lanes([need, need], [75 * FOOT] * 9) == 0
    assert lanes([need, need], [100 * FOOT]) == 0
    assert lanes([], five) is None


def test_the_longest_ropes_go_where_most_is_needed() -> None:
    long, short = (
        line_needs(prepared(text))[0] for text in (lane(reserve="rope-reserve: 30 ft"), three_to_one())
    )
    assert long.needed < short.needed  # 27.4 and 45.4 m
    assert lanes([long, short], [30, 50]) == 1
    assert lanes([long, short], [50, 50, 30, 30]) == 2
    assert lanes([long, short], [50, 30, 30, 30]) == 1
