"""`ropewright prove`, `mistakes` and `find` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from ropewright.cli import main

FOLDER = Path(__file__).parents[2] / "examples" / "procedures"
ASCENT = FOLDER / "ascent-to-descent.procedure.yaml"


def ran(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    status = main(list(words))
    said = capsys.readouterr()
    return status, said.out, said.err


def wrong(tmp_path: Path, *lines: str) -> Path:
    """The ascent's procedure with other steps."""
    head = ASCENT.read_text("utf-8").split("\nsteps:")[0].replace("from: ", f"from: {FOLDER}/")
    path = tmp_path / "wrong.procedure.yaml"
    path.write_text(f"{head}\nsteps:\n" + "".join(f"  - {line}\n" for line in lines), "utf-8")
    return path


def test_a_proved_procedure_ends_with_0_and_its_json_has_every_step(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, out, _ = ran(capsys, "prove", str(ASCENT), "--json")
    assert status == 0
    data = json.loads(out)
    assert data["proved"] is True
    assert "under a qualified person" in data["caution"]
    for n, step in enumerate(data["steps"], 1):
        assert step["n"] == n
        assert step["verdict"] == "ok"
        assert step["because"] == ""
        assert step["held"]["student"]["chains"] == 2
        assert step["worst"]["student"]["outcome"] == "held"
        assert step["line"] > 0
    assert "chest" not in data["steps"][0]["free_to_take_off"]


def test_a_refused_step_ends_with_1_and_says_why_and_what_would_be_right(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = wrong(tmp_path, "student: stand in foot up 300 mm", "student: take chest off")
    status, out, _ = ran(capsys, "prove", str(path))
    assert status == 1
    assert "NOT PROVED, 2 steps: 1 refused" in out
    said = " ".join(out.split())
    assert (
        "student is held by 1 chain (second), 2 are asked for (foot is a foot loop, no life support)" in said
    )
    assert "→ put descender on and load it first" in said
    assert "step 2 (line" in out
    assert "safe" not in out.lower()
    status, out, _ = ran(capsys, "prove", str(path), "--json")
    step = json.loads(out)["steps"][1]
    assert (step["verdict"], step["held"]["student"]["chains"]) == ("refused", 1)
    assert "1 chain" in step["because"]


def test_what_nobody_rated_is_refused(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    text = ASCENT.read_text("utf-8").replace("from: ", f"from: {FOLDER}/")
    assert "user-mass" in text
    path = tmp_path / "unrated.procedure.yaml"
    path.write_text(text.replace("descender: {user-mass: 150}", "descender: {slips: 4..6 kN}"), "utf-8")
    status, out, _ = ran(capsys, "prove", str(path))
    assert status == 1
    assert "nobody has said how many it is rated for" in " ".join(out.split())


def test_several_files_are_told_one_line_each_and_one_bad_one_keeps_no_other_back(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    status, out, err = ran(capsys, "prove", "--brief", str(tmp_path / "none"), str(ASCENT))
    assert status == 2
    assert "there is no such file" in err
    assert "ascent-to-descent.procedure.yaml: NO STEP REFUSED, 18 steps, by the model, as entered (" in out
    assert "(student 95 kg (209 lb))\n" in out


@pytest.mark.parametrize("brief", [(), ("--brief",)])
def test_cautions_stand_beside_the_verdict_and_leave_the_exit_status_at_nought(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, brief: tuple[str, ...]
) -> None:
    text = (FOLDER / "self-haul-to-descent.procedure.yaml").read_text("utf-8")
    path = tmp_path / "untested.procedure.yaml"
    path.write_text(text.replace("from: ", f"from: {FOLDER}/").replace("  - climber: inch-test device\n", ""))
    status, out, _ = ran(capsys, "prove", str(path), *brief)
    assert status == 0
    assert "NO STEP REFUSED, 4 cautions, 16 steps, by the model, as entered" in out


def test_a_rig_file_in_place_of_a_procedure_is_one_fault(capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = ran(capsys, "prove", str(FOLDER / "two-lanes.rig.yaml"))
    assert status == 2
    assert err.count("\n") == 1
    assert "this is a rig file" in err


def test_mistakes_are_told_gravest_first_with_critical_steps_and_missing_checks(
    capsys: pytest.CaptureFixture[str],
) -> None:
    status, out, _ = ran(capsys, "mistakes", str(ASCENT))
    assert status == 1  # a hand left off drops the student onto the back-up, and no check finds it
    assert out.index("leave somebody exposed") < out.index("nothing goes on")
    assert "Critical steps" in out
    assert "Where a check is missing" in out
    status, out, _ = ran(capsys, "mistakes", str(ASCENT), "--json")
    data = json.loads(out)
    assert {"n", "kind", "what", "consequence", "at", "drop_m", "caught_by", "text"} <= set(
        data["mistakes"][0]
    )
    assert {c["n"] for c in data["critical"]} >= {4, 10}
    assert any(c["kills"] for c in data["missing_checks"])


def test_find_prints_the_way_and_writes_it(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    way = tmp_path / "way.procedure.yaml"
    rigs = [str(FOLDER / f"{name}.rig.yaml") for name in ("self-haul-on-tower", "self-haul-stripped")]
    status, out, err = ran(capsys, "find", *rigs, "-o", str(way))
    assert status == 0
    assert "no step refused when played by itself once more" in out
    assert "written to" in err
    assert ran(capsys, "prove", "--brief", str(way))[0] == 0
    status, _, err = ran(capsys, "find", *rigs, "-o", str(way))
    assert status == 2
    assert "exists and is left as it is" in err


def test_find_refuses_rigs_of_other_loads_and_unknown_extras(capsys: pytest.CaptureFixture[str]) -> None:
    one, other = str(FOLDER / "self-haul-on-tower.rig.yaml"), str(FOLDER / "lane-on-clamps.rig.yaml")
    status, _, err = ran(capsys, "find", one, other)
    assert status == 2
    assert "name different loads" in err
    status, _, err = ran(capsys, "find", one, one, "--extra", "x=cam-grap")
    assert status == 2
    assert "Did you mean cam-grab" in err


def test_the_schema_of_a_procedure_takes_the_shipped_ones(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = ran(capsys, "schema", "procedure")
    schema = json.loads(out)
    assert status == 0
    assert schema["required"] == ["procedure", "from", "steps"]
    assert "lock" in schema["properties"]["steps"]["items"]["additionalProperties"]["pattern"]
