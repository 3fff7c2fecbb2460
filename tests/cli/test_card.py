"""`ropewright card`: where it goes, what it prints, and one clear error for each thing that can't be."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"
RIG = EXAMPLES / "descent-hand-on.rig.yaml"


def test_a_card_is_written_and_said_to_be(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "card.pdf"
    assert main(["card", str(RIG), "-o", str(target), "--time", "today"]) == 0
    assert target.read_bytes().startswith(b"%PDF")
    assert capsys.readouterr().out == f"descent-hand-on.rig.yaml: {target}, 1 page, outside policy\n"


def test_the_same_time_gives_the_same_bytes(tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        assert main(["card", str(RIG), "-o", str(tmp_path / name), "--time", "2026-05-04 09:30"]) == 0
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_several_go_to_a_folder(tmp_path: Path) -> None:
    files = [str(RIG), str(EXAMPLES / "wrong-device-reversed.rig.yaml")]
    assert main(["card", *files, "--out", str(tmp_path / "cards"), "--paper", "letter", "--units", "us"]) == 0
    found = sorted(p.name for p in (tmp_path / "cards").iterdir())
    assert found == ["descent-hand-on.pdf", "wrong-device-reversed.pdf"]


def test_a_file_that_can_not_be_used_stops_no_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = tmp_path / "bad.rig.yaml"
    bad.write_text("rig: [")
    assert main(["card", str(bad), str(RIG), "--out", str(tmp_path)]) == 2
    assert (tmp_path / "descent-hand-on.pdf").exists()
    assert "bad.rig.yaml" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "message"),
    [
        ([], "say where the card goes: -o FILE.pdf for one rig, or --out DIR"),
        (["-o", "x.pdf", "--out", "y"], "say where the card goes"),
        (["-o", "x.txt"], "x.txt: a card's name ends in .pdf"),
        ([str(EXAMPLES / "haul-3-1.rig.yaml"), "-o", "x.pdf"], "several cards are written to a folder"),
        (["-o", "x.pdf", "--paper", "a3"], "Invalid value for '--paper'"),
    ],
)
def test_words_that_make_no_sense(words: list[str], message: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["card", str(RIG), *words]) == 2
    captured = capsys.readouterr()
    assert message in captured.err
    assert captured.err.count("\n") == 1


def test_two_rigs_of_one_name_are_not_written_over_each_other(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    twin = tmp_path / RIG.name
    twin.write_bytes(RIG.read_bytes())
    assert main(["card", str(RIG), str(twin), "--out", str(tmp_path / "out")]) == 2
    assert "two cards would be written to" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_no_half_card_where_it_can_not_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = tmp_path / "nowhere" / "card.pdf"
    assert main(["card", str(RIG), "-o", str(target)]) == 2
    assert "can't be written: No such file or directory" in capsys.readouterr().err
    assert not target.parent.exists()


def test_a_full_disk_leaves_the_old_card(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    target = tmp_path / "card.pdf"
    target.write_bytes(b"the old one")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    assert main(["card", str(RIG), "-o", str(target)]) == 2
    assert "card.pdf: can't be written: No space left on device" in capsys.readouterr().err
    assert target.read_bytes() == b"the old one"
    assert [p.name for p in tmp_path.iterdir()] == ["card.pdf"]


def test_a_folder_that_can_not_be_made(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "file").write_text("")
    assert main(["card", str(RIG), "--out", str(tmp_path / "file")]) == 2
    assert "can't be made a folder" in capsys.readouterr().err
