"""`ropewright sheets`: which sheets go where, and one clear error for each thing that can't be."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.cli import main

PROCEDURES = Path(__file__).parents[2] / "examples" / "procedures"
FILE = PROCEDURES / "ascent-to-descent.procedure.yaml"
KEYS = ("brief", "check", "skill-sheet", "storyboard")


def test_all_four_are_written_and_said_to_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "sheets"
    assert main(["sheets", str(FILE), "--out", str(out), "--time", "today"]) == 0
    assert sorted(p.name for p in out.iterdir()) == [f"ascent-to-descent.{key}.pdf" for key in KEYS]
    assert all(p.read_bytes().startswith(b"%PDF") for p in out.iterdir())
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 4
    assert lines[0].startswith(f"{FILE.name}: {out / 'ascent-to-descent.brief.pdf'}, 1 page")
    told = [line.partition(", no step refused")[2] for line in lines]
    assert told == ["; 2 checks missing"] * 3 + [""]


@pytest.mark.parametrize("more", [[], ["--text"], ["--paper", "us-letter"]])
def test_the_same_time_gives_the_same_bytes(more: list[str], tmp_path: Path) -> None:
    for name in ("a", "b"):
        words = ["sheets", str(FILE), "--out", str(tmp_path / name), "--time", "2026-05-04 09:30", *more]
        assert main(words) == 0
    first = {p.name: p.read_bytes() for p in (tmp_path / "a").iterdir()}
    assert first == {p.name: p.read_bytes() for p in (tmp_path / "b").iterdir()}
    assert len(first) == 4


def test_only_what_is_asked_for_as_text(tmp_path: Path) -> None:
    words = ["sheets", str(FILE), "--out", str(tmp_path), "--only", "check,brief", "--text", "--units", "us"]
    assert main(words) == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == [
        "ascent-to-descent.brief.txt",
        "ascent-to-descent.check.txt",
    ]
    text = (tmp_path / "ascent-to-descent.check.txt").read_text("utf-8")
    assert "lbf" in text
    assert "kN" not in text


def test_what_stands_there_stays_unless_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "ascent-to-descent.brief.txt"
    target.write_text("mine")
    words = ["sheets", str(FILE), "--out", str(tmp_path), "--text"]
    assert main(words) == 2
    assert "exists and is left as it is; --force replaces it" in capsys.readouterr().err
    assert [p.name for p in tmp_path.iterdir()] == [target.name]
    assert main([*words, "--force"]) == 0
    assert target.read_text("utf-8").startswith("BRIEFING")


def test_a_file_that_can_not_be_used_stops_no_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.procedure.yaml"
    bad.write_text("procedure: [")
    out = tmp_path / "out"
    assert main(["sheets", str(bad), str(FILE), "--out", str(out), "--text"]) == 2
    assert len(list(out.iterdir())) == 4
    assert "bad.procedure.yaml" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["--only", "brief,poster", "--out", "x"], "'poster' is no sheet; known are brief, storyboard"),
        (["--only", "", "--out", "x"], "'' is no sheet"),
        (["--paper", "a3", "--out", "x"], "Invalid value for '--paper'"),
        ([], "Missing option '--out'"),
    ],
)
def test_words_that_make_no_sense(
    words: list[str],
    message: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["sheets", str(FILE), *words]) == 2
    captured = capsys.readouterr()
    assert message in captured.err
    assert captured.err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []


def test_two_of_one_name_are_not_written_over_each_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twin = tmp_path / FILE.name
    twin.write_bytes(FILE.read_bytes())
    assert main(["sheets", str(FILE), str(twin), "--out", str(tmp_path / "out")]) == 2
    assert "two sheets would be written to" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_never_over_its_own_input(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for rig in PROCEDURES.glob("*.rig.yaml"):
        (tmp_path / rig.name).write_bytes(rig.read_bytes())
    (tmp_path / "x").write_bytes(FILE.read_bytes())
    own = tmp_path / "x.brief.txt"
    own.symlink_to("x")
    assert main(["sheets", str(tmp_path / "x"), "--out", str(tmp_path), "--text", "--force"]) == 2
    assert "is a file that is read here" in capsys.readouterr().err
    assert (tmp_path / "x").read_bytes() == FILE.read_bytes()


def test_the_rig_that_it_starts_from_is_not_written_over(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = PROCEDURES / "lane-on-clamps.rig.yaml"
    (tmp_path / rig.name).write_bytes(rig.read_bytes())
    (tmp_path / FILE.name).write_bytes(FILE.read_bytes())
    (tmp_path / "ascent-to-descent.brief.txt").symlink_to(rig.name)
    words = ["sheets", str(tmp_path / FILE.name), "--out", str(tmp_path), "--text", "--force"]
    assert main(words) == 2
    assert "is a file that is read here" in capsys.readouterr().err
    assert (tmp_path / rig.name).read_bytes() == rig.read_bytes()
    assert not (tmp_path / "ascent-to-descent.check.txt").exists()


def test_a_folder_that_can_not_be_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")
    assert main(["sheets", str(FILE), "--out", str(tmp_path / "file" / "x")]) == 2
    assert "can't be made a folder" in capsys.readouterr().err


def test_nothing_is_written_where_one_sheet_can_not_be_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from ropewright.sheets import leaf_press
    from ropewright.sheets.typesetter import PressError

    def refuse(leaf: object, *_: object, **__: object) -> bytes:
        raise PressError(f"the {getattr(leaf, 'kind', '')} can't be printed: no")

    monkeypatch.setattr(leaf_press, "_made", refuse)
    assert main(["sheets", str(FILE), "--out", str(tmp_path)]) == 2
    assert list(tmp_path.iterdir()) == []
    assert capsys.readouterr().err.count("\n") == 1
