"""What a card says, without printing it: the figures of the check, every connection, nothing softened."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from ropewright.judgement.examine import NOTHING_LATER
from ropewright.judgement.report import report
from ropewright.judgement.rules import Context
from ropewright.quantity import show_force, show_length
from ropewright.sheets import Card, card_of
from ropewright.sheets.held import OTHERS, worst_drop
from ropewright.sheets.model import CheckRow
from ropewright.sheets.words import labels
from tests.effort.rigs import lane

from .cards import FOLDER, LADEN, NAMES, card, examined, of_text, packed, printed, words


@pytest.mark.parametrize("name", NAMES)
def test_the_pdf_has_the_figures_of_the_json(name: str) -> None:
    data, text = report(examined(name)), packed(words(printed(name).pdf))
    assert ("WITHINPOLICY" if data["within_policy"] else "OUTSIDEPOLICY") in text
    for way in ("haul", "lower"):
        motion = data[way]
        if motion is None or motion.get("cannot"):
            continue
        assert f"{motion['rope_per_metre']:.2f}mforeachmetre" in text
        for strand in motion["tensions"]:
            if strand["to"] != "tail" and strand["N"]["high"] >= 0.5:
                assert packed(_column(strand["N"]["high"])).split("(")[0].split("–")[-1] in text
        if way == "haul" and motion["counted"]:
            assert f"counted{motion['counted']}" in text
    for outcome in data["holding"]["hands_off"]:
        assert outcome["outcome"] in text.lower()
    for rope in data["ropes"]:
        assert packed(show_length(rope["needed_m"])) in text


def _words(text: str) -> set[str]:
    return set(re.findall(r"[^\s,;:†()]+", text)) - {"of", "at", "on"}


def _column(newtons: float) -> str:
    return show_force(newtons).replace(" kN", "").replace(" lbf", "")


def _has(row: tuple[str, ...]) -> float:
    """The factor that a part has, of `37.6 of 10`."""
    return float(row[3].partition(" of ")[0])


@pytest.mark.parametrize("name", NAMES)
def test_every_margin_of_the_json_is_covered(name: str) -> None:
    """Each loaded part has a row of its own, or one of its type that is loaded as much or more."""
    section = card(name).section("parts")
    loaded = [p for p in report(examined(name))["parts"] if p["load_N"] >= 1.0]
    if not loaded:
        return
    assert section is not None
    assert section.table is not None
    catching = [row for row in section.table.rows if row[0].endswith(", catching")]
    rows = {row[0]: row for row in section.table.rows if row not in catching}
    for part in loaded:
        if part["kind"] != "join":
            row = rows[part["part"]]
            assert row[1] == _column(part["load_N"]), part
            if part["factor"] is None:
                assert row[2] == "NOT KNOWN"
            else:
                assert _has(row) == pytest.approx(part["factor"], rel=6e-3)
    least = min((p["factor"] for p in loaded if p["factor"] is not None), default=None)
    shown = [_has(row) for row in rows.values() if not row[3].startswith("–")]
    if least is not None:
        assert min(shown) == pytest.approx(least, rel=6e-3) or min(shown) < least


@pytest.mark.parametrize("name", NAMES)
def test_nothing_that_drops_a_load_is_left_unnamed(name: str) -> None:
    section = card(name).section("held")
    assert section is not None
    told = " ".join(line.text for line in section.lines if line.strong)
    for failure in report(examined(name))["holding"]["single_failures"]:
        if failure["outcome"] != "held":
            assert _words(failure["fails"]) <= _words(told)


@pytest.mark.parametrize("name", NAMES)
def test_every_contact_and_every_clipped_thing_is_a_row_of_the_check(name: str) -> None:
    rig, section = examined(name).rig, card(name).section("check")
    assert section is not None
    rows = section.rows
    assert sum(len(rope.run) for rope in rig.ropes.values()) == sum(
        _is_contact(r.what, rig.ropes) for r in rows
    )
    for item in rig.gear.values():
        if isinstance(item.at, str):
            clipped = [r for r in rows if r.what == f"{item.name} ({item.type})"]
            assert len(clipped) == 1
            assert f"on {item.at} by" in clipped[0].how
    anchors = {c.target for rope in rig.ropes.values() for c in rope.run} | {g.at for g in rig.gear.values()}
    for place in rig.points.values():
        if place.kind == "anchor" and place.name in anchors:
            assert sum(r.what == f"{place.name}, anchor" for r in rows) == 1
    assert [r.what for r in rows[-3:]] == ["Whistle test", "Critical-point test", "Touch test"]


def _is_contact(what: str, ropes: object) -> bool:
    assert isinstance(ropes, dict)
    return any(
        what.startswith((f"{rope} tied to ", f"{rope} through ", f"{rope} over "))
        or what.endswith(f" on {rope}")
        or what == f"loose end of {rope}"
        for rope in ropes
    )


def test_the_check_walks_from_the_anchor_to_the_load() -> None:
    section = card("self-haul-one-sheave").section("check")
    assert section is not None
    assert [row.what for row in section.rows][:8] == [
        "beam, anchor",
        "main tied to beam",
        "handled (cam-grab) on main",
        "above (pulley-single)",
        "device (lower-raise-device)",
        "main through device",
        "main through above",
        "hand of climber on main",
    ]
    grab, device = section.rows[2], section.rows[5]
    assert grab.how == "bites when pulled towards device"
    assert device.how == "in from handled, out to above; stops what runs back to handled"


def test_what_the_file_has_the_wrong_way_round_is_said_in_its_row() -> None:
    section = card("wrong-grab-reversed").section("check")
    assert section is not None
    wrong = [row for row in section.rows if "WRONG WAY ROUND" in row.how]
    assert [row.what for row in wrong] == ["grab (cam-grab) on main"]
    assert wrong[0].strong


def test_the_tests_say_what_the_model_says() -> None:
    section = card("descent-hand-on").section("check")
    assert section is not None
    whistle, critical, _ = section.rows[-3:]
    assert whistle.how == "everyone lets go; the model: rescuer is held"
    assert "rescuer not held without any one of the 5" in critical.how
    assert critical.strong
    falls = card("descent-figure-eight").section("check")
    assert falls is not None
    assert "RUNS" in falls.rows[-3].how
    assert falls.rows[-3].strong


def test_an_edge_is_in_the_register_and_in_the_check() -> None:
    bare = card("parapet-bare")
    edges, check = bare.section("edges"), bare.section("check")
    assert edges is not None
    assert edges.table is not None
    assert edges.table.rows == (("rope main", "lip", "concrete", "NONE"),)
    assert edges.table.strong == (0,)
    assert check is not None
    over = next(row for row in check.rows if row.what == "main over lip")
    assert over.how == "lip, concrete: NO PROTECTION"
    assert over.strong


def test_haulers_of_the_litter_over_the_roller() -> None:
    section = card("litter-roller-crew").section("who")
    assert section is not None
    leads = {line.lead: line.text for line in section.lines}
    assert "5" in leads["haulers, best case:"]
    assert "7" in leads["haulers, sustained:"]


def test_a_climber_pulls_a_share_of_his_weight() -> None:
    section = card("self-haul-one-sheave").section("who")
    assert section is not None
    assert section.lines[0].lead == "climber pulls"
    assert "of body weight" in section.lines[0].text


def test_an_unrated_anchor_is_an_open_question_and_a_strong_row() -> None:
    made = of_text(LADEN.format(title="Unrated", about="x").replace(", strength: 36 kN", ""))
    check, found = made.section("check"), made.section("found")
    assert made.verdict == "OUTSIDE POLICY"
    assert check is not None
    assert check.rows[0].how == "NOBODY HAS RATED IT"
    assert check.rows[0].strong
    assert found is not None
    assert any(line.lead == "OPEN" and "beam" in line.text for line in found.lines)


def test_a_rig_without_an_answer_has_its_card_and_says_so() -> None:
    unsolved = card("wrong-device-reversed")
    assert unsolved.verdict == "OUTSIDE POLICY"
    assert unsolved.section("found") is not None
    assert unsolved.section("check") is not None
    assert "can't be done" in " ".join(line.lead for s in unsolved.sections for line in s.lines) or (
        "NOT SOLVED" in unsolved.picture_note
    )


@pytest.mark.parametrize("units", ["us", "metric"])
def test_one_system_of_units_alone(units: str) -> None:
    made = card_of(examined("haul-3-1"), None, file="x", time="y", units=units)  # type: ignore[arg-type]
    text = _all_text(made)
    assert ("kN" in text) == (units == "metric")
    assert ("lbf" in text) == (units == "us")


def test_no_card_calls_anything_safe() -> None:
    for name in NAMES:
        assert "safe" not in _all_text(card(name)).lower().replace("safety", "")


OBJECT = "Only objects hang here: as the file has it, no person is on or under it"


@pytest.mark.parametrize("name", NAMES)
def test_a_card_says_at_its_head_where_nobody_hangs(name: str) -> None:
    kinds = {load.kind for load in examined(name).rig.loads.values()}
    heads = [told for told in card(name).told_first if told.startswith(OBJECT)]
    assert len(heads) == (kinds == {"object"})
    assert all("so 2 independent chains were not asked for" in told for told in heads)
    if heads:
        text = words(printed(name).pdf)
        assert text.index(card(name).verdict) < text.index(OBJECT) < text.index("at the greatest load")


def test_where_a_rig_hangs_elsewhere_than_drawn_its_card_says_so_at_its_head() -> None:
    text = (FOLDER / "highline-60-m.rig.yaml").read_text("utf-8")
    assert not any("drawn" in told for told in card("highline-60-m").told_first)
    slacker = of_text(text.replace("stiffness: 400 kN", "stiffness: 80 kN"))
    told = [t for t in slacker.told_first if "does not hang where it is drawn" in t]
    assert len(told) == 1
    assert "lower" in told[0]
    cautions = slacker.section("cautions")
    assert cautions is not None  # with its repair
    assert any("does not hang where it is drawn" in line.text for line in cautions.lines)


def test_a_title_keeps_to_one_line_as_the_purpose_does() -> None:
    x = examined("highline-60-m")
    broken = replace(x, rig=replace(x.rig, rig="One\nTwo \t three", about="One\nTwo \t three"))
    made = card_of(broken, None, file="x", time="now")
    assert made.title == made.purpose == "One Two three"


def test_a_long_purpose_is_cut() -> None:
    made = of_text(LADEN.format(title="Long", about="'" + "word " * 300 + "'"))
    assert len(made.purpose) <= 360
    assert made.purpose.endswith("…")


@pytest.mark.parametrize("name", NAMES)
def test_everything_that_may_fail_is_named(name: str) -> None:
    section = card(name).section("held")
    assert section is not None
    told = [line for line in section.lines if "if one fails" in line.lead]
    loads = examined(name).rig.loads
    for load in loads:
        mine = [t for t in told if len(loads) == 1 or t.lead.startswith((load, "all are held"))]
        for failure in examined(name).failures:
            label = _words(re.sub(r" \d+ of ", " of ", failure.component.label))
            if not label <= _words(
                " ".join(t.text for t in mine)
            ):  # it moves another load, and is named there
                assert next(o for o in failure.after.outcomes if o.load == load).verdict == "held"
                assert label <= _words(" ".join(t.text for t in told))
                assert any(line.lead == OTHERS for line in section.lines)
    assert not any("the other" in t.text or "things" in t.text for t in told)


def test_a_movement_has_no_more_digits_than_a_rig_is_known_to() -> None:
    section = card("wrong-grab-reversed").section("held")
    assert section is not None
    assert "weight is held" in [line.text for line in section.lines]
    last = next(line for line in section.lines if line.lead.startswith("held"))
    assert last.lead == "held where it is if one fails:"
    assert last.then == "least factor then: device, 22"  # the reversed grab bears nothing
    for name in NAMES:
        assert not re.search(r"\d\.\d+ mm", _all_text(card(name)))


def test_a_part_is_told_with_what_joins_it() -> None:
    found = ["beam†", "device†", "carabiner-locking of device†", "rope main", "bowline of main at beam"]
    said = "beam†; device†, its carabiner-locking†; rope main, its bowline at beam"
    assert labels(found) == said
    found = ["a", "carabiner-locking of a", "b", "carabiner-locking of b", "sling of c", "hand of crew on x"]
    assert labels(found) == "a, b, the carabiner-locking of each; sling of c; hand of crew on x"
    found = ["a", "carabiner-locking 1 of a", "lanyard 2 of a"]
    assert labels(found) == "a, its carabiner-locking, its lanyard"
    assert (
        labels(["rope main", "bowline of main at a", "bowline of main at b"])
        == "rope main, its bowline at a and b"
    )
    assert labels(["twin", "sheave 1 of twin", "sheave 2 of twin"]) == "twin, its sheave 1 and 2"
    assert labels(["bowline of leg at x", "bowline of leg at y"]) == "bowline of leg at x, leg at y"


def _all_text(made: Card) -> str:
    out = [made.title, made.purpose, made.verdict, made.policy, made.picture_note]
    for section in made.sections:
        out += [section.title]
        for line in (*section.lines, *section.after):
            out += [line.lead, line.text, line.then]
        out += [part for row in section.rows for part in (row.what, row.how, *row.boxes)]
        if section.table is not None:
            out += [*section.table.head, *(cell for row in section.table.rows for cell in row)]
    return " ".join(out)


def test_a_crew_is_told_to_be_enough_at_what_it_is_counted_on_for() -> None:
    section = card("litter-roller-crew").section("who")
    assert section is not None
    told = next(line for line in section.lines if line.lead == "7 haulers as in the file:")
    assert told.text == "enough, at the sustained figure, 0.13 kN (30 lbf) each"


def test_what_falls_only_at_the_end_of_a_lowering_is_named() -> None:
    """A slack second line that holds where the rig is drawn reaches too far once the ground is near."""
    for name in NAMES:
        x = examined(name)
        before = {(f.component.key, o.load): o.verdict for f in x.failures for o in f.after.outcomes}
        later = [
            f.component.label
            for f in x.failures_later
            for o in f.after.outcomes
            if o.verdict != "held" and before.get((f.component.key, o.load)) == "held"
        ]
        section = card(name).section("held")
        told = (
            [line for line in section.lines if "at the end of the lowering" in line.lead] if section else []
        )
        assert bool(told) == bool(later)
        assert all(_words(label) <= _words(" ".join(t.text for t in told)) for label in later)


def test_a_limit_by_slip_is_not_taken_for_a_break() -> None:
    """It stands under a table of the policy's factor, which is asked of breaks alone."""
    for name, slips in (("haul-5-1", True), ("anchor-two-legs", False)):
        section = card(name).section("parts")
        assert section is not None
        (asked,) = [line for line in section.after if line.lead == "asked:"]
        assert asked.text == "10 to breaking; after a failure 1"
        (line,) = [line for line in section.after if line.lead == "the whole rig:"]
        assert (": no break" in line.text) == slips
        assert ("it would break or open" in line.text) != slips


def test_a_limit_that_is_not_found_is_said() -> None:
    made = card_of(replace(examined("haul-5-1"), later=NOTHING_LATER), None, file="x", time="y")
    section = made.section("parts")
    assert section is not None
    assert any("NOT FOUND" in line.text and line.strong for line in section.after)
    assert made.verdict == "OUTSIDE POLICY"


def test_the_back_up_is_not_shown_as_idle_and_its_catch_has_a_row() -> None:
    section = card("tower-day-lane").section("parts")
    assert section is not None
    assert section.table is not None
    rows = {row[0]: row for row in section.table.rows}
    for part in ("right-beam", "right-release", "backup"):
        assert rows[part][1].startswith("0.9")
        assert rows[part][4] == "failure"
    _, load, bears, factor, when = rows["backup, catching"]
    rows_of = report(examined("tower-day-lane"))
    peaks = [r["caught_with_N"] for r in rows_of["holding"]["single_failures"] if r["caught_with_N"]]
    hardest = max(peak["high"] for peak in peaks)  # 3.7 kN, the back-up's own weight with it
    assert float(load.split()[0]) * 1000 == pytest.approx(hardest, rel=0.015)
    assert (bears[:4], when) == ("15.0", "catch")
    assert float(factor.removesuffix(" of 1")) == pytest.approx(15000 / hardest, rel=0.02)


def _check(made: Card) -> dict[str, CheckRow]:
    section = made.section("check")
    assert section is not None
    return {row.what: row for row in section.rows}


def test_spare_behind_a_release_has_a_row() -> None:
    rows = _check(card("tower-day-lane"))
    for device in ("left-release", "right-release"):
        row = rows[f"spare behind {device}"]
        assert row.how == "9.14 m (30 ft) needed to lower student; the file has 9.14 m (30 ft)"
        assert row.boxes
        assert not row.strong
    row = _check(of_text(lane()))["spare behind release"]
    assert row.how == "8 m (26.2 ft) needed to lower student; the file has 0.3 m (1 ft)"
    assert row.strong


@pytest.mark.parametrize("name", NAMES)
def test_every_rope_that_ends_in_a_hand_or_free_has_its_end_looked_at(name: str) -> None:
    rows = _check(card(name))
    for rope in examined(name).rig.ropes.values():
        what = {
            "hand": f"end of {rope.name} behind {rope.run[-1].target}",
            "tail": f"loose end of {rope.name}",
        }
        if rope.run[-1].verb in what:
            assert "stopper knot" in rows[what[rope.run[-1].verb]].boxes


def test_whether_a_descent_rope_reaches_the_ground_is_said() -> None:
    """7 m lie between anchor and climber, 66 cm in the knot, and he is 2 m up."""
    bare = _check(of_text(LADEN.format(title="x", about="x")))["end of main behind climber"]
    assert "NO GROUND DRAWN" in bare.how
    assert bare.strong
    floor = "points:\n  floor: {kind: ground, at: [0, 0]}"
    text = LADEN.format(title="x", about="x").replace("points:", floor)
    reaches = _check(of_text(text))["end of main behind climber"]
    assert reaches.how == "22.3 m (73.3 ft), 2 m (6.6 ft) to the ground: reaches it"
    assert not reaches.strong
    ends = _check(of_text(text.replace("length: 30", "length: 8.66")))["end of main behind climber"]
    assert "ENDS 1 m (3.3 ft) ABOVE THE GROUND" in ends.how
    assert ends.strong
    unknown = _check(of_text(text.replace("    length: 30\n", "")))["end of main behind climber"]
    assert "NOT KNOWN" in unknown.how
    assert unknown.strong
    none = _check(of_text(text.replace("length: 30", "length: 7.2")))["end of main behind climber"]
    assert none.how == "TOO SHORT as rigged"


def test_what_a_crew_pays_out_stands_at_the_end_of_its_rope() -> None:
    row = _check(card("lower-two-tensioned"))["end of left behind left-hand"]
    assert row.how == "53.2 m (174 ft); 7.31 m (24 ft) go out on the way"
    assert not row.strong


def critical_point(name: str) -> CheckRow:
    section = card(name).section("check")
    assert section is not None
    return next(row for row in section.rows if row.what == "Critical-point test")


def test_the_critical_point_test_says_how_far_the_load_drops_and_onto_what() -> None:
    drops = [o.drop or 0.0 for f in examined("self-haul-one-sheave").failures for o in f.after.outcomes]
    assert max(drops) > 0.1
    said = f"the model: hangs {show_length(max(drops))} lower, onto backup, caught with up to "
    assert critical_point("self-haul-one-sheave").how.startswith(said)
    row = critical_point("tower-day-lane")
    assert "hangs 0.33 m (1.1 ft) lower, onto backup, caught with up to 3.71 kN (833 lbf)" in row.how
    assert "; at the end of the lowering hangs 0.48 m (1.6 ft) lower, onto backup" in row.how
    assert not row.strong


def test_no_drop_is_said_where_nothing_drops() -> None:
    still = replace(examined("tower-day-lane"), later=NOTHING_LATER)
    assert worst_drop(Context(still)) == "no one failure drops a load"
