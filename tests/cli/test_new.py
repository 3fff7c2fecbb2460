"""`ropewright new`: a file to start from, and nothing of anybody's lost."""

import json
from collections.abc import Callable
from pathlib import Path

import click
import pytest

from ropewright.cli import main
from ropewright.cli.commands import new
from ropewright.rig import STARTER_KINDS, read_rig


@pytest.mark.parametrize("kind", STARTER_KINDS)
def test_what_is_written_reads(kind: str, tmp_path: Path) -> None:
    path = tmp_path / "start.rig.yaml"
    assert main(["new", kind, "-o", str(path)]) == 0
    assert read_rig(path).ropes
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("kind", STARTER_KINDS)
@pytest.mark.parametrize("edge", [[], ["--edge", "concrete", "--protection", "roller"]], ids=["free", "edge"])
def test_a_start_has_no_stop_that_is_not_a_grabs_factor(
    kind: str, edge: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if kind == "anchor-legs" and edge:
        pytest.skip("legs of an anchor start without an edge")
    words = ["--mass", "100 kg", "--height", "15 m", "--anchor-strength", "30 kN"]
    path = tmp_path / "start.rig.yaml"
    assert main(["new", kind, *words, *edge, "-o", str(path)]) == 0
    capsys.readouterr()
    main(["check", "--json", str(path)])
    data = json.loads(capsys.readouterr().out)
    stops = [found["text"] for found in data["findings"] if found["level"] == "stop"]
    # Friction at an edge brings a grab of 11 kN to nine times what it carries, where ten are asked for. No
    # clamp bears ten times somebody's weight: whoever climbs on them has a `grab-factor` in their policy.
    short = ("upper", "chest") if kind == "ascent-clamps" else ("grab",) if edge else ()
    assert all(text.startswith(short) and "a factor of" in text for text in stops)


def test_without_a_file_it_goes_to_the_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["new", "haul-3-1"]) == 0
    out = capsys.readouterr().out
    assert read_rig(out).rig == "Haul 3:1"


def test_flags_stand_in_the_file(capsys: pytest.CaptureFixture[str]) -> None:
    flags = [
        "--units",
        "us",
        "--mass",
        "450",
        "--height",
        "60",
        "--edge",
        "concrete",
        "--protection",
        "roller",
        "--people",
        "5",
    ]
    assert main(["new", "haul-5-1", *flags, "--anchor-strength", "8000"]) == 0
    rig = read_rig(capsys.readouterr().out)
    assert rig.units == "us"
    assert rig.loads["litter"].mass.likely == pytest.approx(450 * 0.45359237, rel=1e-12)
    assert rig.points["lip-1"].at[2] == pytest.approx(60 * 0.3048, rel=1e-12)
    assert rig.points["lip-1"].protection == "roller"
    assert rig.crews["haulers"].people == 5
    strength = rig.points["anchor-1"].strength
    assert strength is not None
    assert strength.likely == pytest.approx(8000 * 4.4482216152605, rel=1e-12)


def test_an_existing_file_is_left_alone_unless_forced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text("mine", "utf-8")
    assert main(["new", "lower", "-o", str(path)]) == 2
    assert capsys.readouterr().err == f"ropewright: {path} exists and is left as it is; --force replaces it\n"
    assert path.read_text("utf-8") == "mine"
    assert main(["new", "lower", "-o", str(path), "--force"]) == 0
    assert read_rig(path).rig == "Lower"


@pytest.mark.parametrize(
    ("words", "text"),
    [
        (["lower", "--mass", "1 kN"], "--mass: a force (1 kN) where a mass is wanted"),
        (["lower", "--mass", "-5"], "--mass: found '-5'; a mass can't be negative here"),
        (["lower", "--height", "nan"], "--height: found 'nan'"),
        (["lower", "--height", "9000"], "a height of 9000 m"),
        (["lower", "--edge", "conrete"], "no surface is called `conrete`. Did you mean `concrete`?"),
        (["haul-33"], "'haul-33' is not one of"),
        ([], "name what to start from: self-haul, ascent-clamps"),
    ],
)
def test_what_can_not_be_used_is_told_in_one_line(
    words: list[str], text: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "start.yaml"
    assert main(["new", *words, "-o", str(path)]) == 2
    assert text in capsys.readouterr().err
    assert not path.exists()


@pytest.fixture
def answered(monkeypatch: pytest.MonkeyPatch) -> Callable[[dict[str, str]], list[str]]:
    """Stand in for a person at a terminal; give the questions that were asked."""

    def answer(answers: dict[str, str]) -> list[str]:
        asked: list[str] = []

        def prompt(text: str, default: object = None, **_: object) -> object:
            asked.append(text)
            return answers.get(text, default)

        monkeypatch.setattr(click, "prompt", prompt)
        monkeypatch.setattr(new, "at_a_terminal", lambda: True)
        return asked

    return answer


def test_at_a_terminal_it_asks(answered: Callable[[dict[str, str]], list[str]], tmp_path: Path) -> None:
    path = tmp_path / "start.yaml"
    asked = answered({"What is rigged": "haul-9-1", "Mass that hangs on it": "180 kg"})
    assert main(["new", "-o", str(path)]) == 0
    assert read_rig(path).loads["litter"].mass.likely == 180
    assert asked == [
        "What is rigged",
        "Units",
        "Mass that hangs on it",
        "Height of the anchors",
        "Surface of the edge that the rope runs over",
        "People who haul",
    ]


def test_it_asks_only_for_what_was_not_given(
    answered: Callable[[dict[str, str]], list[str]], tmp_path: Path
) -> None:
    asked = answered({"What is rigged": "descent"})
    words = ["--units", "us", "--mass", "200", "--height", "40", "--edge", "steel"]
    assert main(["new", "-o", str(tmp_path / "start.yaml"), *words]) == 0
    assert asked == ["What is rigged", "Protection on the edge, if any"]
