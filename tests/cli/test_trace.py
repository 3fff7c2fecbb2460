"""`ropewright trace`: the whiteboard of a rig file."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.cli import main

EXAMPLES = Path(__file__).parents[2] / "examples"


def traced(name: str, capsys: pytest.CaptureFixture[str], *options: str) -> tuple[int, str]:
    status = main(["trace", str(EXAMPLES / f"{name}.rig.yaml"), *options])
    return status, capsys.readouterr().out


def test_a_haul_is_written_from_the_hand_to_the_load(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = traced("haul-3-1", capsys)
    assert status == 0
    said = [line.strip() for line in out.splitlines()]
    assert said[0] == "haul-3-1.rig.yaml: Haul 3:1"
    assert "Hauling weight up 4 m (13.1 ft)" in said
    assert "1. the hand at haulers pulls 1 T" in said
    assert "3. through traveller: 1 T in, 1 T out, so 2 T on grab" in said
    assert any("counted 3:1 (ideal 3.00, with friction 2.3" in line for line in said)
    assert any(line.startswith("with friction: 0.4") and "lbf" in line for line in said)
    assert any(line.startswith("simple: ") for line in said)
    assert "under a qualified person" in " ".join(said)


@pytest.mark.parametrize(
    ("name", "counted", "word"),
    [
        ("haul-2-1", "2:1", "simple"),
        ("haul-5-1", "5:1", "simple"),
        ("haul-5-1-complex", "5:1", "complex"),
        ("haul-9-1", "9:1", "compound"),
        ("redirect-60-degrees", "1:1", "simple"),
    ],
)
def test_each_textbook_haul_has_its_count_and_word(
    name: str, counted: str, word: str, capsys: pytest.CaptureFixture[str]
) -> None:
    status, out = traced(name, capsys)
    assert status == 0
    assert f"counted {counted} (ideal" in out
    assert f"\n    {word}: " in out


def test_the_climber_and_the_ground_are_told_apart(capsys: pytest.CaptureFixture[str]) -> None:
    _, own = traced("self-haul-one-sheave", capsys)
    assert "counted 3:1" in own
    assert "pulled from the ground the same reeving counts 2:1" in own
    _, crew = traced("self-haul-one-sheave-crew", capsys)
    assert "counted 2:1" in crew
    assert "given to climber's own hands the same reeving counts 3:1" in crew


def test_a_lowering_has_its_board(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = traced("descent-bar-rack", capsys)
    assert status == 0
    assert "Lowering rescuer down 5 m (16.4 ft)" in out
    assert "the hand at rescuer holds 1 T" in out


def test_a_rig_at_rest_says_why_there_is_no_count(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = traced("anchor-two-legs", capsys)
    assert status == 0
    assert "no count: the file asks for no motion" in out


def test_a_rig_that_can_not_move_says_why_and_is_status_1(capsys: pytest.CaptureFixture[str]) -> None:
    status, out = traced("wrong-grab-reversed", capsys)
    assert status == 1
    assert "no count: the hand takes in rope and the load does not move" in out
    assert "at grab (line " in out


@pytest.mark.parametrize(("units", "has", "lacks"), [("us", "lbf", " kN"), ("metric", " kN", "lbf")])
def test_one_system_alone(units: str, has: str, lacks: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = traced("haul-3-1", capsys, "--units", units)
    assert has in out
    assert lacks not in out


def test_a_file_that_can_not_be_used(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["trace", str(tmp_path / "none.yaml")]) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert "no such file" in captured.err
