"""What the page of a check shows of crews, ropes and failures."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from ropewright.cli.main import main
from tests.judgement.texts import HAUL, LOWER, swapped

EXAMPLES = Path(__file__).parents[2] / "examples"
Write = Callable[[str], Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def one(text: str) -> Path:
        path = tmp_path / "one.rig.yaml"
        path.write_text(text, "utf-8")
        return path

    return one


def test_a_crew_that_is_too_weak_shows_in_one_line_too(
    write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "--brief", str(write(swapped(HAUL, ("people: 3", "people: 1"))))]) == 1
    assert capsys.readouterr().out.count("1 person is counted on for") == 1


def test_failures_that_fall_stand_first_and_the_held_share_a_line(
    write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "--units", "us", str(write(LOWER))]) == 0
    out = capsys.readouterr().out
    assert "ft of rope for each foot of lowering" in out
    assert "undamped spring" in out
    assert "litter held where it is when one of these fails: second-ring" in " ".join(out.split())
    assert main(["check", str(EXAMPLES / "descent-bar-rack.rig.yaml")]) == 1
    table = capsys.readouterr().out.split("One thing fails")[1]
    assert "RUNS" in table.split("Chains")[0]


def test_the_limit_tells_a_slip_from_a_break_and_is_never_left_out(
    capsys: pytest.CaptureFixture[str],
) -> None:
    def limit(name: str) -> str:
        main(["check", str(EXAMPLES / f"{name}.rig.yaml")])
        return " ".join(capsys.readouterr().out.split("\nLimit\n")[1].split("\nRope\n")[0].split())

    slips = limit("haul-5-1")
    assert slips == "at 5.06 times the load device slips on main (hands off): no break"
    assert limit("anchor-two-legs").endswith("it would break or open")
    assert limit("wrong-device-reversed") == "NOT FOUND: the rig has no rest"
