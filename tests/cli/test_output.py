"""Where results go: never over what is read, one name for each file, one word for what is in the way."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.cli import main
from ropewright.cli.output import stem

RIG = Path(__file__).parents[2] / "examples" / "anchor-two-legs.rig.yaml"
TEAM = "units = 'metric'\n"


def names(folder: Path) -> set[str]:
    return {p.name for p in folder.iterdir()}


@pytest.mark.parametrize("spelling", ["itself", "link", "detour", "hard link"])
@pytest.mark.parametrize(("command", "ending"), [("draw", "svg"), ("draw", "png"), ("card", "pdf")])
def test_nothing_is_written_over_the_rig_that_is_read(
    command: str, ending: str, spelling: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = tmp_path / f"rig.{ending}"
    rig.write_bytes(RIG.read_bytes())
    target = {"itself": rig, "detour": tmp_path / ".." / tmp_path.name / rig.name}.get(
        spelling, tmp_path / f"other.{ending}"
    )
    if spelling == "link":
        target.symlink_to(rig)
    if spelling == "hard link":
        target.hardlink_to(rig)
    before = names(tmp_path)
    assert main([command, str(rig), "-o", str(target)]) == 2
    captured = capsys.readouterr()
    assert "is a file that is read here" in captured.err
    assert captured.err.count("\n") == 1
    assert captured.out == ""
    assert rig.read_bytes() == RIG.read_bytes()
    assert names(tmp_path) == before


@pytest.mark.parametrize(("command", "ending"), [("draw", "svg"), ("card", "pdf"), ("check", "json")])
def test_a_folder_of_results_spares_what_is_read(
    command: str, ending: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    first, second = tmp_path / "a.rig.yaml", tmp_path / f"a.{ending}"
    first.write_bytes(RIG.read_bytes())
    second.write_bytes(RIG.read_bytes())
    assert main([command, str(first), str(second), "--out", str(tmp_path)]) == 2
    assert "is a file that is read here" in capsys.readouterr().err
    assert second.read_bytes() == RIG.read_bytes()
    assert names(tmp_path) == {first.name, second.name}


def test_a_team_file_is_read_too(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    team = tmp_path / "team.svg"
    team.write_text(TEAM, "utf-8")
    assert main(["draw", str(RIG), "--team", str(team), "-o", str(team)]) == 2
    assert "is a file that is read here" in capsys.readouterr().err
    assert team.read_text("utf-8") == TEAM


def test_a_file_in_the_place_of_the_folder_is_said_alike(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "results"
    out.write_text("mine", "utf-8")
    said = set()
    for command in ("check", "draw", "card"):
        assert main([command, str(RIG), "--out", str(out)]) == 2
        said.add(capsys.readouterr().err)
    assert said == {f"ropewright: {out}: can't be made a folder: File exists\n"}
    assert out.read_text("utf-8") == "mine"


def test_results_of_check_are_named_as_the_others_are(tmp_path: Path) -> None:
    rig = tmp_path / "Upper.RIG.YAML"
    rig.write_bytes(RIG.read_bytes())
    assert main(["check", str(rig), "--out", str(tmp_path / "out"), "--brief"]) == 0
    assert names(tmp_path / "out") == {"Upper.json"}
    assert stem(Path("x.rig.yml")) == "x"
