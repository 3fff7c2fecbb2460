"""The JSON object: its keys, its figures in order, nothing in it that JSON has no word for."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from ropewright import __version__
from ropewright.judgement.moved import CannotMove
from ropewright.judgement.report import report
from ropewright.judgement.rules import Context
from ropewright.judgement.sliding import slips
from tests.judgement.texts import EDGE, HANG, HAUL, LEGS, LOWER, examined, swapped

SELF_HAUL = """
rig: Two-part self-haul on the main line
about: The climber stands below the grab and hauls himself up; the device on his harness keeps each gain.
units: metric            # metric (m, kg, kN) or us (ft, lb, lbf): what a bare number means
points:
  beam:  {kind: anchor, at: [0, 9], strength: 36 kN}
  deck:  {kind: stand,  at: [1, 0]}
loads:
  climber: {kind: person, mass: 95, at: [0, 1]}
gear:
  handled: {is: cam-grab, at: [0, 3]}
  twin:    {is: pulley-double, at: handled}
  device:  {is: lower-raise-device, at: climber}
ropes:
  main:
    is: rope-12.5-low-stretch
    length: 30
    run:
      - tie beam with figure-eight-bight
      - grip handled
      - through device
      - through twin.1
      - hand climber
haul: {load: climber, up: 6}
assume:
  pulley-double: {efficiency: 0.90}
  device: {efficiency: 0.85..0.92}
policy: {static-factor: 10}
"""
ALL = {"hang": HANG, "haul": HAUL, "lower": LOWER, "legs": LEGS, "edge": EDGE, "self-haul": SELF_HAUL}


def reported(text: str) -> dict[str, Any]:
    return report(examined(text))


def strict(data: dict[str, Any]) -> dict[str, Any]:
    again = json.loads(json.dumps(data, allow_nan=False))
    assert isinstance(again, dict)
    return again


def walk(value: object) -> list[object]:
    inside = list(value.values()) if isinstance(value, dict) else value if isinstance(value, list) else []
    return [value, *(deeper for each in inside for deeper in walk(each))]


@pytest.mark.parametrize("text", ALL.values(), ids=ALL)
def test_it_is_strict_json_with_the_promised_keys(text: str) -> None:
    data = reported(text)
    assert strict(data) == data
    assert {"rig", "haul", "lower", "rest", "parts", "holding", "findings", "within_policy"} <= set(data)
    assert set(data["holding"]) == {"hands_off", "single_failures"}
    assert data["units"] == {"force": "N", "length": "m", "mass": "kg"}
    assert data["version"] == __version__
    assert isinstance(data["within_policy"], bool)
    for part in data["parts"]:
        assert {"part", "load_N", "strength_N", "factor", "required", "within"} <= set(part)
    for row in (*data["holding"]["hands_off"], *data["holding"]["single_failures"]):
        assert row["outcome"] in {"held", "falls", "runs", "not worked out"}
        assert {"load", "drop_m"} <= set(row)
    for finding in data["findings"]:
        assert {"level", "code", "line", "text", "repair"} <= set(finding)


@pytest.mark.parametrize("text", ALL.values(), ids=ALL)
def test_low_is_never_over_likely_nor_likely_over_high(text: str) -> None:
    ranges = [v for v in walk(reported(text)) if isinstance(v, dict) and {"low", "likely", "high"} <= set(v)]
    assert ranges
    assert all(r["low"] <= r["likely"] <= r["high"] for r in ranges)


@pytest.mark.parametrize("text", [HAUL, LOWER, EDGE, SELF_HAUL], ids=["haul", "lower", "edge", "self-haul"])
def test_rest_contains_haul_and_lower(text: str) -> None:
    data = reported(text)
    for motion in (data["haul"], data["lower"]):
        for moving, resting in zip(
            (motion or {}).get("tensions", ()), data["rest"]["tensions"], strict=False
        ):
            assert [moving[k] for k in ("rope", "from", "to")] == [resting[k] for k in ("rope", "from", "to")]
            slack = 1e-3 * 1000
            assert resting["N"]["low"] - slack <= moving["N"]["likely"]
            high = resting["N"]["high"]
            assert high is None or moving["N"]["likely"] <= high + slack


def test_the_self_haul_as_the_format_has_it() -> None:
    data = reported(SELF_HAUL)
    haul = data["haul"]
    assert (haul["load"], haul["counted"]) == ("climber", "3:1")
    assert haul["ideal"] == pytest.approx(3.0, abs=0.005)
    assert haul["rope_per_metre"] == pytest.approx(3.0, abs=0.01)
    assert haul["counted_variants"] == {"climber": "3:1", "ground": "2:1"}
    assert haul["class"]["word"] == "simple"
    assert [(t["rope"], t["from"], t["to"]) for t in haul["tensions"]] == [
        ("main", "beam", "handled"), ("main", "handled", "device"),
        ("main", "device", "twin"), ("main", "twin", "climber"),
    ]  # fmt: skip
    assert haul["points"]["beam"]["direction"] == [0.0, 0.0, -1.0]
    assert haul["points"]["beam"]["N"]["likely"] == pytest.approx(
        haul["tensions"][0]["N"]["likely"], rel=1e-3
    )
    assert haul["tensions"][-1]["N"] == haul["hand_force_N"]
    assert haul["hand_force_N"]["low"] < haul["hand_force_N"]["high"]
    assert haul["travel"]["resets"] > 0
    assert haul["travel"]["meets"] == ["device", "twin"]
    assert data["lower"] is None
    assert data["holding"]["hands_off"][0]["outcome"] == "held"
    assert not data["within_policy"]
    assert any(
        text.startswith("the file does not say what climber is carried by") for text in data["open_questions"]
    )


def test_actual_is_weight_over_hand_in_every_percentile() -> None:
    haul = reported(HAUL)["haul"]
    assert haul["actual"]["likely"] == pytest.approx(
        haul["weight_N"] / haul["hand_force_N"]["likely"], rel=1e-4
    )
    assert haul["actual"]["low"] == pytest.approx(haul["weight_N"] / haul["hand_force_N"]["high"], rel=1e-3)


def test_single_figures_give_single_answers() -> None:
    text = swapped(LEGS, ("plate: {strength: 36 kN}", "plate: {strength: 36 kN, mass: 0.2}"))
    parts = {p["part"]: p for p in reported(text)["parts"]}
    master = parts["master"]["load_range_N"]
    assert master["low"] == master["likely"] == master["high"]


def test_an_unbounded_rest_is_null() -> None:
    x = examined(HAUL)
    assert x.rest is not None
    endless = replace(x, rest=replace(x.rest, high=np.full_like(x.rest.high, math.inf)))
    data = strict(report(endless))
    assert {t["N"]["high"] for t in data["rest"]["tensions"]} == {None}
    assert "rest-unbounded" in {f["code"] for f in data["findings"]}


def test_what_can_not_move_keeps_the_keys() -> None:
    x = replace(examined(HAUL), haul=CannotMove(1, "weight", "stuck", "it does not move", "grab", 14))
    haul = strict(report(x))["haul"]
    assert haul["cannot"] == {"kind": "stuck", "text": "it does not move", "at": "grab", "line": 14}
    assert haul["counted"] is haul["ideal"] is haul["hand_force_N"] is None
    assert haul["tensions"] == []


def test_unknown_strength_is_null_and_not_within() -> None:
    parts = {p["part"]: p for p in reported(swapped(HANG, ("strength: 15 kN, ", "")))["parts"]}
    part = parts["harness of climber"]
    assert part["strength_N"] is part["factor"] is None
    assert part["within"] is False


def test_part_factors_are_strength_over_load() -> None:
    for part in reported(HAUL)["parts"]:
        if part["factor"] is not None:
            assert part["factor"] == pytest.approx(part["strength_N"] / part["load_N"], rel=1e-4)
            assert part["within"] == (part["factor"] >= part["required"])


def test_a_part_is_judged_by_its_largest_load_whenever_that_comes() -> None:
    """The second line of a lowering is slack until the main line fails, and then bears everything."""
    x = examined(LOWER)
    ctx = Context(x)
    parts = {p["part"]: p for p in report(x)["parts"]}
    second, main = parts["second-device"], parts["main-device"]
    assert second["load_N"] == pytest.approx(main["load_N"], rel=0.02)
    assert second["nothing_failed"]["load_N"] < 0.05 * second["load_N"]
    assert second["state"].startswith("once ")
    assert second["state"].endswith(" has failed")
    assert second["factor"] == pytest.approx(second["strength_N"] / second["load_N"], rel=1e-4)
    assert parts["litter-basket of litter"]["state"] == "lowering"
    for part in x.parts:
        load, state, now = ctx.carried(part)
        later = ctx.after_failure.get(part.part, (0.0, ""))[0]
        assert load >= part.load.likely
        assert load == pytest.approx(max(part.load.likely, later), rel=2e-3)
        assert now == (state == part.state)


def test_a_factor_stands_beside_what_it_is_held_against() -> None:
    """Nothing failed: the policy's ten. After a failure and in a catch: not to break."""
    x = examined(LOWER)
    asked = Context(x).asked("second-device")
    assert asked == 10
    second = {p["part"]: p for p in report(x)["parts"]}["second-device"]
    assert (second["required"], second["nothing_failed"]["required"]) == (1, asked)
    assert (second["after_a_failure"]["required"], second["in_a_catch"]["required"]) == (1, 1)
    assert second["after_a_failure"]["factor"] == second["factor"]
    assert second["nothing_failed"]["factor"] > 100 * second["factor"]  # only its own weight until then
    for part in report(x)["parts"]:
        asked_of = part["required"], part["nothing_failed"]["required"]
        assert asked_of == (1 if part["state"].startswith("once ") else asked, asked)
        for each in (part["nothing_failed"], part["after_a_failure"], part["in_a_catch"]):
            if each and each["factor"]:
                assert each["factor"] == pytest.approx(part["strength_N"] / each["load_N"], rel=1e-4)


def test_the_force_of_a_catch_stands_beside() -> None:
    x = examined(LOWER)
    data = report(x)
    parts = {p["part"]: p for p in data["parts"]}
    peaks = [r["caught_with_N"]["high"] for r in data["holding"]["single_failures"] if r["caught_with_N"]]
    caught = parts["second-device"]["in_a_catch"]
    assert caught["load_N"] == pytest.approx(max(peaks), rel=0.05)
    assert caught["if_fails"]
    hardest = Context(x).hardest_caught
    assert hardest is not None
    least = min(
        p["strength_N"] / p["in_a_catch"]["load_N"]
        for p in parts.values()
        if p["in_a_catch"] and p["strength_N"]
    )
    assert (hardest[0].strength or 0.0) / hardest[1] == pytest.approx(least, rel=1e-4)
    assert parts["main-device"]["in_a_catch"]["load_N"] < 100.0  # its rope alone still hangs on it then
    assert parts["floor"]["in_a_catch"] is None


def test_what_it_rests_on_has_sources() -> None:
    data = reported(HAUL)
    assert {rule["rule"] for rule in data["policy"]["rules"]} >= {
        "static-factor",
        "chains",
        "hands-off-chains",
    }
    assert all(rule["source"] for rule in data["policy"]["rules"])
    figures = {f["figure"]: f for f in data["assumptions"]}
    assert figures["user-mass of device"]["confidence"] == "stated by the team"
    assert figures["efficiency of pulley-single"]["source"]
    assert figures["strength of rope-12.5-low-stretch"]["unit"] == "N"
    assert data["haul"]["importance"][0]["input"] == "efficiency of pulley-single"
    assert sum(i["share"] for i in data["haul"]["importance"]) <= 1.05


def test_chains_limit_ropes_and_edges_stand_beside() -> None:
    lower = reported(LOWER)
    (chains,) = lower["chains"]
    assert (chains["load"], chains["independent"], chains["asked"]) == ("litter", 2, 2.0)
    assert {tuple(c["ropes"]) for c in chains["chains"]} == {("main",), ("second",)}
    main = next(r for r in lower["ropes"] if r["rope"] == "main")
    assert main["paid_out_m"] == pytest.approx(7.0, abs=0.1)
    assert main["needed_m"] == pytest.approx(main["runs_m"] + main["paid_out_m"] + main["ends_m"], rel=1e-4)
    assert main["ends_m"] == pytest.approx((3 + 5) * 0.3048)
    assert lower["limit"]["multiple"] > 1
    assert lower["limit"]["kind"] == "slip"
    assert lower["lower"]["trace"]
    assert reported(EDGE)["edges"] == [
        {"what": "rope main", "edge": "lip", "surface": "concrete", "protection": "roller", "line": 16}
    ]


def test_the_trace_agrees_with_the_figures() -> None:
    haul = reported(HAUL)["haul"]
    (line,) = [text for text in haul["trace"] if "counted" in text]
    assert f"ideal {haul['ideal']:.2f}, with friction {haul['actual']['likely']:.2f}" in line


def test_a_failure_has_the_factor_in_its_catch_and_what_may_slip_in_it() -> None:
    x = examined(LOWER)
    rows = {r["fails"]: r for r in report(x)["holding"]["single_failures"]}
    row = rows["main-device"]
    caught, still = row["weakest_then"]["in_the_catch"], row["weakest_then"]["factor"]
    assert row["lowest_m"] > row["drop_m"] > 0.1
    failure = next(f for f in x.failures if f.component.label == "main-device")
    assert caught == pytest.approx(still / failure.catch_on(row["load"]), rel=1e-3)
    assert [slip["part"] for slip in row["may_slip"]] == [s.part for s in slips(failure)]
    assert rows["second-device"]["weakest_then"]["in_the_catch"] is None
    assert rows["second-device"]["may_slip"] == []
