"""Who can: verdicts, their reasons, and the least rig for all."""

import pytest

from ropewright.effort import (
    Person,
    RigAnswer,
    answer,
    least_rig,
    load_profiles,
    load_roles,
    people_of_masses,
)
from ropewright.effort.profiles import role_named
from ropewright.mechanics import GRAVITY
from ropewright.quantity import Range
from tests.effort.rigs import lane, prepared, self_haul, three_to_one


def person(mass: float, role: str = "", pull: float | None = None, name: str = "Kim") -> Person:
    known = role_named(role) if role else Person("x", Range.exactly(1.0)).role
    assert known is not None
    return Person(name, Range.exactly(mass), known, None if pull is None else Range.exactly(pull))


def ask(text: str, *people: Person, crew: int | None = None) -> RigAnswer:
    return answer(prepared(text), people, crew, "metric")


# --- alone


@pytest.mark.parametrize(
    ("efficiency", "verdict"), [("1.0", "yes"), ("0.90", "maybe"), ("0.40", "no")]
)  # a third, 37 % and 64 % of body weight
def test_the_pull_is_a_share_of_body_weight(efficiency: str, verdict: str) -> None:
    (one,) = ask(self_haul(efficiency=efficiency), person(90)).outlooks
    assert one.verdict == verdict
    (motion,) = one.asks
    e = float(efficiency)
    assert motion.share is not None
    assert motion.share.likely == pytest.approx(1 / (1 + e + e * e), rel=1e-4)
    assert motion.best is None


def test_a_measured_pull_replaces_the_planning_share() -> None:
    text, weight = self_haul(), 90 * GRAVITY
    assert ask(text, person(90, pull=0.40 * weight)).worst == "yes"
    (weak,) = ask(text, person(90, pull=0.31 * weight)).outlooks
    assert weak.verdict == "no"
    assert "measured pull 0.27 kN" in weak.reasons[0]


def test_work_and_time_follow_from_pull_and_rope() -> None:
    (one,) = ask(self_haul(), person(100)).outlooks
    (motion,) = one.asks
    assert motion.work is not None
    assert motion.time is not None
    assert motion.pulls is not None
    lifted, efficiency = 100 * GRAVITY * 1.0, 2.71 / 3
    assert motion.rope == pytest.approx(3.0, abs=1e-3)
    assert motion.work.likely == pytest.approx(lifted / efficiency, rel=1e-3)
    assert motion.time.low == pytest.approx(motion.work.low / 150)
    assert motion.time.high == pytest.approx(motion.work.high / 75)
    assert (motion.pulls.low, motion.pulls.high) == pytest.approx((5, 10), rel=1e-3)


def test_resets_are_counted() -> None:
    rig = prepared(self_haul(up=5))
    (one,) = answer(rig, [person(90)]).outlooks
    made = one.asks[0].strokes
    assert made.resets is not None
    assert made.resets >= 2
    assert made.reach * (made.resets + 1) >= 5 - 1e-3


# --- limits of the gear


def test_over_the_harness_is_an_equipment_limit_and_no_failure() -> None:
    (one,) = ask(self_haul(efficiency="1.0"), person(146)).outlooks
    assert one.verdict == "equipment limit"
    assert one.reasons == ("not tested - equipment limit: the harness is rated for 140 kg",)


def test_the_limit_itself_is_within() -> None:
    assert ask(self_haul(efficiency="1.0"), person(140)).worst == "yes"


def test_a_limit_that_nobody_stated_never_passes() -> None:
    text = self_haul(efficiency="1.0").replace("harness: {mass: 0, user-mass: 140}", "harness: {mass: 0}")
    (one,) = ask(text, person(80)).outlooks
    assert one.verdict == "not known"
    assert "the harness" in one.reasons[0]


def test_a_person_whom_nothing_carries_never_passes() -> None:
    (one,) = ask(self_haul(efficiency="1.0").replace(", wears: harness", ""), person(80)).outlooks
    assert one.verdict == "not known"


# --- ropes


def test_a_rope_that_is_too_short_is_refused_with_the_length_needed() -> None:
    (one,) = ask(lane(length="75 ft", reserve="rope-reserve: 30 ft"), person(90)).outlooks
    assert one.verdict == "no"
    assert one.reasons == ("working needs 27.4 m and is 22.9 m: refused",)
    assert ask(lane(length="100 ft", reserve="rope-reserve: 30 ft"), person(90)).worst == "yes"


def test_a_rope_of_unknown_length_never_passes() -> None:
    text = "\n".join(line for line in lane().splitlines() if "length:" not in line)
    assert ask(text, person(90)).worst == "not known"


def test_what_the_brake_hand_has_to_hold_is_compared_with_a_grip() -> None:
    text = lane().replace("descender: {user-mass: 150}", "descender: {user-mass: 150, ratio: 2}")
    (one,) = ask(text, person(90)).outlooks  # about 0.44 kN; the strongest grip measured is 0.425 kN
    assert one.verdict == "no"
    assert "one hand is counted on to hold 0.21 kN" in one.reasons[0]
    assert ask(lane(), person(90)).worst == "yes"


# --- crews


def test_a_crew_is_sized_with_friction() -> None:
    (one,) = ask(three_to_one(mass="200", efficiency="0.72")).outlooks  # 877 N
    (motion,) = one.asks
    assert motion.best is not None
    assert motion.sustained is not None
    assert (motion.best.likely, motion.sustained.likely) == (4, 7)


@pytest.mark.parametrize(("crew", "verdict"), [(3, "no"), (4, "maybe"), (6, "maybe"), (7, "yes")])
def test_more_haulers_change_the_verdict(crew: int, verdict: str) -> None:
    assert ask(three_to_one(mass="200", efficiency="0.72"), crew=crew).worst == verdict


def test_a_safety_officer_is_never_counted() -> None:
    text = three_to_one(mass="200", efficiency="0.72")
    haul = [person(80, name=f"h{k}") for k in range(6)]
    officer = person(80, "safety officer", name="Sam")
    assert not officer.role.hauls
    found = ask(text, *haul, officer)
    assert found.crew is not None
    assert found.crew.count == 6
    assert found.worst == "maybe"
    assert found.left_out == (officer,)
    assert ask(text, *haul, person(80, "hauler", name="Sam")).worst == "yes"


def test_nor_is_a_safety_officer_put_on_the_rope() -> None:
    found = ask(self_haul(), person(80), person(90, "safety officer", name="Sam"))
    assert [o.person.name for o in found.outlooks] == ["Kim"]


def test_measured_haulers_count_with_what_they_gave() -> None:
    text = three_to_one(mass="200", efficiency="0.72")
    strong = [person(80, pull=450, name=f"h{k}") for k in range(2)]
    assert ask(text, *strong).worst == "yes"


def test_the_crew_of_the_file_hauls_people_of_the_list() -> None:
    text = three_to_one().replace("kind: object", "kind: person, wears: harness")
    found = ask(text, person(60), person(130, name="Max"))
    assert found.crew is not None
    assert found.crew.count == 4
    assert [o.verdict for o in found.outlooks] == ["yes", "yes"]
    assert not found.of_load


def test_a_policy_on_haulers_is_kept() -> None:
    text = three_to_one(mass="200", efficiency="0.72") + "\npolicy: {most-haulers: 3}\n"
    (one,) = ask(text, crew=9).outlooks
    assert one.verdict == "no"
    assert "outside policy: 3 haulers at most on one line" in one.reasons


def test_a_teams_own_hauler_figure_is_used() -> None:
    text = three_to_one(mass="200", efficiency="0.72") + "\npolicy: {hauler-pull: 0.2}\n"
    (one,) = ask(text).outlooks
    assert one.asks[0].sustained is not None
    assert one.asks[0].sustained.each == 200
    assert one.asks[0].sustained.likely == 5


# --- rigs that can't be worked


def test_a_rig_that_hauls_nothing_is_not_a_yes() -> None:
    text = three_to_one().replace("haul: {load: weight, up: 4}", "")
    assert ask(text).worst == "not known"


def test_a_rig_that_is_stuck_says_why() -> None:
    text = three_to_one().replace("grip grab", "grip grab reversed")
    (one,) = ask(text, crew=9).outlooks
    assert one.verdict == "no"
    assert one.reasons[0].startswith("can't haul weight")


def test_a_rig_without_a_load_has_no_rows() -> None:
    text = """
rig: Anchor alone
points: {beam: {kind: anchor, at: [0, 9]}, post: {kind: anchor, at: [1, 9]}}
ropes: {leg: {is: cord-8, run: [tie beam with bowline, tie post with bowline]}}
"""
    found = ask(text, person(80))
    assert found.outlooks == ()
    assert found.worst == "not known"


# --- the least rig


def test_the_least_rig_is_the_one_with_least_gear_that_all_can_work() -> None:
    small, same_but_worse = ask(self_haul(efficiency="1.0"), person(90)), ask(self_haul(), person(90))
    more = self_haul(efficiency="1.0").replace("gear:\n", "gear:\n  spare: {is: pulley-single, at: beam}\n")
    large = ask(more, person(90))
    found = least_rig([large, same_but_worse, small])
    assert found.chosen is small
    assert found.sure


def test_a_maybe_is_named_as_one() -> None:
    found = least_rig([ask(self_haul(), person(90), person(50, pull=300, name="Ann"))])
    assert found.chosen is not None
    assert not found.sure
    assert [o.person.name for o in found.doubtful] == ["Kim"]


def test_where_no_rig_does_it_is_said_who_fails() -> None:
    rigs = [ask(self_haul(efficiency="1.0"), person(90), person(146, name="Max"))]
    found = least_rig(rigs)
    assert found.chosen is None
    assert [o.person.name for o in found.fails[0][1]] == ["Max"]


# --- figures


def test_every_figure_names_its_source_and_what_nobody_measured_is_an_assumption() -> None:
    for figure in load_profiles().values():
        assert figure.source
        assert figure.confidence in "TRA"
        assert ("no source" in figure.source) == (figure.confidence == "A")


def test_only_roles_that_may_haul_do() -> None:
    hauling = {role.name for role in load_roles().values() if role.hauls}
    assert hauling == {"student", "rescuer", "hauler"}
    assert role_named("Safety-Officer") == role_named("SO")


def test_masses_of_the_line_are_people() -> None:
    assert [p.mass.likely for p in people_of_masses("78,84", "metric")] == [78, 84]


def test_what_others_wear_does_not_count_and_shared_gear_counts_with_all() -> None:
    text = self_haul(efficiency="1.0").replace(
        "loads: {", "loads: {mate: {kind: person, mass: 90, at: [3, 0], wears: harness}, "
    )
    text = text.replace("gear:\n", "gear:\n  other: {is: descender-self-braking, at: mate}\n")
    side = "  side: {is: cord-8, length: 20, run: [tie beam with bowline, through other, hand mate]}"
    text = text.replace("haul: {", f"{side}\nhaul: {{")
    text = text.replace("cam-grab: {mass: 0}", "cam-grab: {mass: 0}\n  handled: {user-mass: 150}")
    limits = {limit.what: limit for limit in ask(text, person(60)).limits}
    assert "other" not in limits
    assert limits["device"].others == 0
    assert limits["handled"].others == 90
    assert limits["handled"].allows(Range.exactly(60)) is True
    assert limits["handled"].allows(Range.exactly(61)) is False


# --- several crews

TWO_HANDS = """
rig: One weight on two ropes
points:
  a: {kind: anchor, at: [-1, 12], strength: 36 kN}
  b: {kind: anchor, at: [1, 12], strength: 36 kN}
loads:
  weight: {kind: object, mass: 100, at: [0, 1]}
crews:
  left: {at: [-6, 12], people: 12}
  right: {at: [6, 12], people: RIGHT}
gear:
  pa: {is: pulley-single, at: a}
  pb: {is: pulley-single, at: b}
ropes:
  one: {is: rope-12.5-low-stretch, length: 40, run: [tie weight with bowline, through pa, hand left]}
  two: {is: rope-12.5-low-stretch, length: 40, run: [tie weight with bowline, through pb, hand right]}
haul: {load: weight, up: 4}
"""


@pytest.mark.parametrize(("right", "verdict"), [("1", "no"), ("3", "maybe"), ("12", "yes")])
def test_where_two_crews_pull_the_weakest_hand_decides(right: str, verdict: str) -> None:
    """Each has to give half a kilonewton; what the strong one has to spare pulls no second rope."""
    found = ask(TWO_HANDS.replace("RIGHT", right))
    assert found.worst == verdict
    assert found.crew is not None
    assert found.crew.count == 12 + int(right)
    assert found.crew.sustained == pytest.approx(2 * int(right) * 133.0, rel=0.01)
    assert found.crew.each == pytest.approx(133.0, rel=0.01)
