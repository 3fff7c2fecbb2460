"""`ropewright draw`: what is written where, several files, and what can't be used."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree

import pytest

from ropewright.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
HAUL, SELF = (str(EXAMPLES / f"{name}.rig.yaml") for name in ("haul-3-1", "self-haul-one-sheave"))
PNG = b"\x89PNG\r\n"


def test_the_svg_of_one_rig_is_printed_where_no_file_is_named(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["draw", HAUL]) == 0
    captured = capsys.readouterr()
    assert ElementTree.fromstring(captured.out).tag.endswith("}svg")
    assert captured.err == ""


def test_the_ending_says_which_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    svg, png = tmp_path / "rig.svg", tmp_path / "rig.png"
    assert main(["draw", HAUL, "-o", str(svg)]) == 0
    assert main(["draw", HAUL, "-o", str(png), "--plan", "--units", "us"]) == 0
    assert svg.read_bytes().startswith(b"<svg")
    assert png.read_bytes().startswith(PNG)
    assert "rig.svg" in capsys.readouterr().err


def test_several_rigs_go_to_a_folder_in_every_format_asked_for(tmp_path: Path) -> None:
    out = tmp_path / "new" / "pictures"
    assert main(["draw", HAUL, SELF, "--out", str(out), "--format", "svg,png"]) == 0
    names = {p.name for p in out.iterdir()}
    assert names == {"haul-3-1.svg", "haul-3-1.png", "self-haul-one-sheave.svg", "self-haul-one-sheave.png"}


def test_a_file_that_cannot_be_used_is_told_of_and_the_others_are_drawn(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.rig.yaml"
    bad.write_text("rig: x\npoints: nothing\n", "utf-8")
    assert main(["draw", str(bad), HAUL, "--out", str(tmp_path / "out")]) == 2
    assert (tmp_path / "out" / "haul-3-1.svg").exists()
    assert not (tmp_path / "out" / "bad.svg").exists()
    assert "bad.rig.yaml" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([HAUL, SELF], "several rigs are drawn to a folder: name it with --out DIR"),
        ([HAUL, "-o", "rig.pdf"], "a picture's name ends in .svg or .png"),
        ([HAUL, "-o", "a.svg", "--out", "b"], "can't both be given"),
        ([HAUL, "--out", "b", "--format", "gif"], "'gif' is not known; it takes svg, png or svg,png"),
        ([HAUL, "--out", "b", "--format", ","], "nothing is named"),
        (["no-such.rig.yaml"], "no-such.rig.yaml"),
        ([HAUL, "--plan", "--side"], "--side and --plan can't both be given"),
    ],
)
def test_what_is_wrong_is_one_line_and_nothing_is_written(
    words: list[str],
    said: str,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["draw", *words]) == 2
    captured = capsys.readouterr()
    assert said in captured.err
    assert captured.out == ""
    assert list(tmp_path.iterdir()) == []


def test_two_rigs_of_one_name_are_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    twin = tmp_path / "haul-3-1.yaml"
    twin.write_bytes(Path(HAUL).read_bytes())
    assert main(["draw", HAUL, str(twin), "--out", str(tmp_path / "out")]) == 2
    assert "two rigs would be drawn to" in capsys.readouterr().err


def test_a_folder_that_cannot_be_written_to_is_one_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("x", "utf-8")
    assert main(["draw", HAUL, "--out", str(blocked / "sub")]) == 2
    assert main(["draw", HAUL, "-o", str(tmp_path / "none" / "rig.svg")]) == 2
    said = capsys.readouterr().err
    assert said.count("ropewright:") == 2
    assert blocked.read_text("utf-8") == "x"
