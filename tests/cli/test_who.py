"""`ropewright who`: a day at the tower, a crew sized with friction, several rigs compared, bad input."""

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from ropewright.cli import main
from tests.effort.rigs import self_haul, three_to_one

EXAMPLES = Path(__file__).parents[2] / "examples"
ROSTER = str(EXAMPLES / "rosters" / "tower-day.csv")
LITTER = str(EXAMPLES / "litter-roller-crew.rig.yaml")
ONE, TWO = (str(EXAMPLES / f"self-haul-{name}.rig.yaml") for name in ("one-sheave", "double-and-single"))
HAUL = str(EXAMPLES / "haul-3-1.rig.yaml")
MASSES = "78,84,88,91,93,95,97,99,104,112,121,146"


def said(capsys: pytest.CaptureFixture[str], *argv: str) -> tuple[int, str]:
    """Status, and what was printed with its blanks run together."""
    status = main(["who", *argv])
    captured = capsys.readouterr()
    assert captured.err == ""
    return status, " ".join(captured.out.split())


def data(capsys: pytest.CaptureFixture[str], *argv: str) -> Any:
    main(["who", *argv, "--json"])
    return json.loads(capsys.readouterr().out)


@pytest.fixture
def lane(tmp_path: Path) -> Path:
    """The tower day's lane with the reserve of the day: 30 ft, the height that is climbed."""
    text = (EXAMPLES / "tower-day-lane.rig.yaml").read_text("utf-8")
    if "rope-reserve" not in text:
        text += "\npolicy: {rope-reserve: 30 ft}\n"
    path = tmp_path / "lane.rig.yaml"
    path.write_text(text, "utf-8")
    return path


# --- a day at the tower


def test_over_the_harness_is_an_equipment_limit(lane: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out = said(capsys, str(lane), "--roster", ROSTER)
    assert status == 1
    assert "11 yes, 1 equipment limit" in out
    assert "student 12 146 kg (322 lb) equipment limit" in out
    assert "not tested - equipment limit: the harness is rated for 140 kg (309 lb)" in out
    assert "fail" not in out.replace("single failures", "")


def test_a_rope_that_is_too_short_is_refused(lane: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = said(capsys, str(lane), "--masses", MASSES, "--ropes", "100 ft,75 ft")
    assert "Rope working needs 27.4 m (90 ft)" in out
    assert (
        "9.14 m (30 ft) spare behind the releasable anchor, 5.49 m (18 ft) for anchor, knots and tail" in out
    )
    assert "A rope of 30.5 m (100 ft) does for every line here." in out
    assert (
        "A rope of 22.9 m (75 ft) is refused: working needs 27.4 m (90 ft), second needs 27.4 m (90 ft)."
        in out
    )


def test_the_short_rope_in_the_rig_itself(lane: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = lane.read_text("utf-8")
    lane.write_text(
        text.replace("length: 100 ft", "length: 30").replace("length: 30", "length: 75 ft", 1), "utf-8"
    )
    status, out = said(capsys, str(lane), "--masses", "78")
    assert status == 1
    assert "no. 1 78 kg (172 lb) no" in out
    assert "working needs 27.4 m (90 ft) and is 22.9 m (75 ft): refused" in out
    found = data(capsys, str(lane), "--masses", "78")["rigs"][0]["ropes"]
    assert [rope["enough"] for rope in found] == [False, True]
    assert found[0]["needed_m"] == pytest.approx(27.43, abs=0.01)


def test_ropes_at_hand_are_counted_into_lanes(lane: Path, capsys: pytest.CaptureFixture[str]) -> None:
    ropes = ",".join(["100 ft"] * 5 + ["75 ft"])
    status, out = said(capsys, str(lane), "--masses", "95", "--ropes", ropes)
    assert status == 0
    assert "5 ropes of 30.5 m (100 ft) do for every line here." in out
    assert out.count("30.5 m (100 ft) do") == 1
    assert "A rope of 22.9 m (75 ft) is refused: " in out
    assert "The 6 ropes at hand rig 2 lanes of 2 ropes each." in out
    main(["who", str(lane), "--masses", "95", "--ropes", ropes, "--json"])
    assert json.loads(capsys.readouterr().out)["rigs"][0]["lanes_at_hand"] == 2


@pytest.mark.parametrize("ropes", ["75 ft", "75 ft,75 ft", "100 ft", "100 ft,75 ft"])
def test_ropes_that_rig_no_lane_are_status_1_in_brief_too(
    ropes: str, lane: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out = said(capsys, str(lane), "--masses", "95", "--ropes", ropes, "--brief")
    assert status == 1
    assert "1 yes; the " in out
    assert "at hand rig" in out
    assert "NO lane of 2 ropes each: working needs 27.4 m (90 ft), second needs 27.4 m (90 ft)" in out


def test_without_the_heaviest_all_can(lane: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, _ = said(capsys, str(lane), "--masses", MASSES.removesuffix(",146"))
    assert status == 0


# --- crews


def test_a_litter_crew_is_sized_with_friction(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = said(capsys, LITTER)
    assert status == 0
    assert "litter 200 kg (441 lb) yes 0.91 kN (203 lbf) 5 7" in out
    motion = data(capsys, LITTER)["rigs"][0]["people"][0]["motions"][0]
    assert motion["hand_force_N"]["likely"] == pytest.approx(905, abs=1)
    assert motion["haulers_best_case"]["likely"] == 5
    assert motion["haulers_sustained"]["likely"] == 7
    assert motion["resets"] == 1


@pytest.mark.parametrize(("crew", "status", "word"), [(3, 1, "1 no"), (5, 0, "1 maybe"), (7, 0, "1 yes")])
def test_three_are_too_few(crew: int, status: int, word: str, capsys: pytest.CaptureFixture[str]) -> None:
    found, out = said(capsys, LITTER, "--crew", str(crew))
    assert found == status
    assert f"together): {word}." in out


def test_a_roster_is_the_crew_of_a_litter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    roster = tmp_path / "crew.csv"
    people = "".join(f"hauler {k},80 kg,hauler\n" for k in range(6))
    roster.write_text(f"name,mass,role\n{people}Sam,90 kg,safety officer\n", "utf-8")
    status, out = said(capsys, LITTER, "--roster", str(roster))
    assert status == 0
    assert "6 haulers from the list" in out
    assert "1 maybe" in out
    assert "Neither on the rope nor hauling here: Sam (safety officer)." in out


# --- several rigs


def test_several_rigs_are_compared_and_the_least_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    as_high = tmp_path / "self-haul-one-sheave.rig.yaml"
    text = Path(ONE).read_text("utf-8")
    assert "up: 1}" in text
    as_high.write_text(text.replace("up: 1}", "up: 1.5}"), "utf-8")
    status, out = said(capsys, str(as_high), TWO, "--masses", "78,95,121")
    assert status == 0
    assert "The least rig that everybody on the list can work: self-haul-double-and-single.rig.yaml." in out
    assert "self-haul-one-sheave 4 3 m" in out
    least = data(capsys, str(as_high), TWO, "--masses", "78,95,121")["least"]
    assert (least["file"], least["sure"]) == (TWO, True)


def test_where_none_does_it_says_who_fails_and_why(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = said(capsys, ONE, TWO, "--masses", "78,146")
    assert status == 1
    assert "No rig here does for everybody on the list." in out
    assert "self-haul-one-sheave.rig.yaml fails no. 2: not tested - equipment limit: the harness" in out


def test_a_maybe_is_never_called_a_yes(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = said(capsys, ONE, ONE, "--masses", "95")
    assert status == 0
    assert "No rig is a yes for everybody. The least that nobody fails: self-haul-one-sheave.rig.yaml;" in out
    assert "maybe for no. 1" in out


def test_rigs_for_unlike_loads_are_not_ranked(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = said(capsys, HAUL, LITTER, "--crew", "9")
    assert status == 0
    assert (
        "The jobs differ in load: 100 kg (220 lb) in haul-3-1.rig.yaml; 200 kg (441 lb) in "
        "litter-roller-crew.rig.yaml (the greatest is 2 times the least)." in out
    )
    told = "none of these rigs is called the least. Everybody on the list can work, least gear first: "
    assert f"{told}litter-roller-crew.rig.yaml, haul-3-1.rig.yaml." in out
    assert "The least rig" not in out
    least = data(capsys, HAUL, LITTER, "--crew", "9")["least"]
    assert least["file"] is None
    assert least["does"] == [LITTER, HAUL]
    assert least["differs"][0]["figures"] == [
        {"value": 100.0, "files": [HAUL]},
        {"value": 200.0, "files": [LITTER]},
    ]
    assert least["differs"][0]["times"] == pytest.approx(2)


@pytest.mark.parametrize(("metres", "differs"), [("2", True), ("4.02", False)])
def test_rigs_for_unlike_heights_are_not_ranked(
    metres: str, differs: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    other = tmp_path / "other.rig.yaml"
    text = Path(HAUL).read_text("utf-8")
    assert "up: 4}" in text
    other.write_text(text.replace("up: 4}", f"up: {metres}}}"), "utf-8")
    _, out = said(capsys, HAUL, str(other), "--crew", "9", "--brief")
    told = "The jobs differ in height hauled: 4 m (13.1 ft) in haul-3-1.rig.yaml; 2 m (6.6 ft) in other"
    assert (told in out) is differs
    assert ("The least rig" in out) is not differs


def test_where_unlike_jobs_are_a_maybe_it_is_said_so(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = said(capsys, HAUL, LITTER, "--crew", "5", "--brief")
    assert status == 0
    assert "is called the least" in out
    assert "litter: maybe" in out


def test_a_yes_for_a_crew_is_at_the_sustained_figure(capsys: pytest.CaptureFixture[str]) -> None:
    assert "Yes says that the crew hauls at its sustained figure" in said(capsys, LITTER)[1]
    assert "the crew hauls" not in said(capsys, ONE, "--masses", "80")[1]


@pytest.mark.parametrize("form", ["--json", "--brief"])
def test_a_crew_that_nobody_needs_is_said_to_be_unused(form: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["who", ONE, "--masses", "80", "--crew", "3", form]) == 0
    captured = capsys.readouterr()
    assert captured.out
    assert captured.err == (
        "ropewright: self-haul-one-sheave.rig.yaml: --crew is not used here: nobody but the load is at a "
        "rope that is hauled\n"
    )


# --- figures and forms


def test_a_climber_sees_share_strokes_resets_rope_and_time(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = tmp_path / "own.rig.yaml"
    rig.write_text(self_haul(up=3), "utf-8")
    _, out = said(capsys, str(rig), "--masses", "95")
    assert (
        "9 m (29.5 ft) of rope through the hands in 15–30 pulls, 2 resets of handled, a stroke being" in out
    )
    assert "0.34 kN (77 lbf) 37 % 21–41 s" in out
    assert "planning assumption" in out
    assert "an energy bound only" in out
    found = data(capsys, str(rig), "--masses", "95")
    motion = found["rigs"][0]["people"][0]["motions"][0]
    assert motion["work_J"]["likely"] == pytest.approx(95 * 9.80665 / 2.71 * 9, rel=1e-3)
    assert motion["share_of_weight"]["likely"] == pytest.approx(1 / 2.71, rel=1e-3)
    assert "under a qualified person" in found["caution"]
    assert found["figures"]["self-haul-share"]["confidence"] == "A"


@pytest.mark.parametrize(("units", "shows", "hides"), [("us", "209 lb", "kg"), ("metric", "95 kg", " lb")])
def test_units(units: str, shows: str, hides: str, capsys: pytest.CaptureFixture[str]) -> None:
    masses = "209.4" if units == "us" else "95"
    _, out = said(capsys, ONE, "--masses", masses, "--units", units)
    assert shows in out
    assert hides not in out.split("Counted on")[0]


def test_brief_is_one_line_for_each_rig(capsys: pytest.CaptureFixture[str]) -> None:
    main(["who", ONE, TWO, "--masses", "78,146", "--brief"])
    out = capsys.readouterr().out
    assert (
        out.splitlines()[0]
        == "self-haul-one-sheave.rig.yaml: 1 maybe, 1 equipment limit (no. 1: maybe; no. 2: equipment limit)"
    )
    assert out.splitlines()[1].startswith("self-haul-double-and-single.rig.yaml: 1 yes, 1 equipment limit")


def test_the_page_keeps_its_width_and_its_caution(lane: Path, capsys: pytest.CaptureFixture[str]) -> None:
    main(["who", str(lane), ONE, TWO, LITTER, "--masses", MASSES, "--ropes", "75 ft"])
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= 110
    assert out.rstrip().endswith("hands-on check before loading come first.")


# --- bad input


@pytest.mark.parametrize(
    ("argv", "message"),
    [
        (["--masses", "78,x"], "--masses: number 2: mass: found 'x'"),
        (["--masses", "80,,90"], "--masses: number 2: nothing stands there"),
        (["--masses", "80,90, "], "--masses: number 3: nothing stands there"),
        (["--masses", "780"], "--masses: number 1: found `780` for a mass"),
        (["--masses", "78", "--roster", "r.csv"], "give --masses or --roster, not both"),
        (["--roster", "none.csv"], "none.csv: can't be read: No such file or directory"),
        (["--crew", "0"], "Invalid value for '--crew'"),
        (["--ropes", "75 kg"], "--ropes: a mass (75 kg) where a length is wanted"),
    ],
)
def test_what_can_not_be_used_is_one_line_and_status_2(
    argv: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["who", ONE, *argv]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert message in captured.err
    assert captured.err.count("\n") == 1


def test_bare_masses_need_a_unit_where_the_rigs_differ(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = tmp_path / "us.rig.yaml"
    rig.write_text(three_to_one().replace("rig: Three", "units: us\nrig: Three"), "utf-8")
    assert main(["who", ONE, str(rig), "--masses", "180"]) == 2
    assert "found `180` without a unit" in capsys.readouterr().err


def test_a_bad_rig_does_not_stop_the_others(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bad = tmp_path / "bad.rig.yaml"
    bad.write_text("rig: 1\npoints: none\n", "utf-8")
    assert main(["who", str(bad), TWO, "--masses", "80"]) == 2
    captured = capsys.readouterr()
    assert "bad.rig.yaml: line 2" in captured.err
    assert "1 yes" in captured.out


def test_names_can_not_drive_the_terminal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    roster = tmp_path / "r\x1b[31m.csv"
    roster.write_text("name,mass\n\x1b[31mKim,80 kg\n", "utf-8")
    assert main(["who", ONE, "--roster", str(roster)]) == 2
    assert "\x1b" not in capsys.readouterr().err
    rig = tmp_path / "\x1b[31mred.rig.yaml"
    shutil.copy(ONE, rig)
    main(["who", str(rig), ONE, "--masses", "80"])
    assert "\x1b" not in capsys.readouterr().out


def test_a_thousand_rows(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    roster = tmp_path / "all.csv"
    rows = "".join(f"p{k},{60 + k % 75}\n" for k in range(1000))
    roster.write_text(f"units,metric\nname,mass\n{rows}", "utf-8")
    status, out = said(capsys, TWO, "--roster", str(roster))
    assert status == 0
    assert "1000 yes" in out
