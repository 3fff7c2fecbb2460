"""`ropewright check`: status, text, JSON, files written, and all that can be wrong with its input."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ropewright.cli import main
from ropewright.cli.progress import Progress
from tests.judgement.texts import HANG, HAUL, LOWER, swapped

PROGRAM = [sys.executable, "-c", "import sys; from ropewright.cli import main; sys.exit(main())"]
EXAMPLES = Path(__file__).parents[2] / "examples"
Write = Callable[..., Path]


@pytest.fixture
def write(tmp_path: Path) -> Write:
    def written(text: str | bytes, name: str = "rig.yaml") -> Path:
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return path

    return written


def lines(capsys: pytest.CaptureFixture[str]) -> tuple[str, list[str]]:
    captured = capsys.readouterr()
    return captured.out, captured.err.splitlines()


# --- what it prints


def test_a_rig_within_policy_is_status_0(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(write(HAUL, "three.rig.yaml"))]) == 0
    out, err = lines(capsys)
    assert err == []
    assert out.startswith("three.rig.yaml: A weight on a 3:1\n  WITHIN POLICY (the shipped policy)")
    for piece in (
        "Hauling weight 4 m (13.1 ft)", "counted 3:1, ideal 3.00, with friction", "simple: ",
        "pull at haulers: 0.", "one stroke, no resets", "Tension in the rope", "weight to grab", "at rest",
        "Parts (greatest load)", "main at weight", "Every hand off", "weight: held", "One thing fails",
        "carabiner-locking of device", "Chains", "Limit", "anchor, knots, tail", "planning assumptions",
        "teaching page on",
    ):  # fmt: skip
        assert piece in out, piece
    assert "under a qualified person" in out
    assert max(map(len, out.splitlines())) <= 114
    assert "safe" not in out.lower()


def test_a_stop_is_status_1_with_line_and_repair(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(write(swapped(HANG, ("tie right with", "tie left with"))))]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert "OUTSIDE POLICY (the shipped policy): 2 stops" in out
    assert "STOP climber hangs on 1 independent chain (one); the policy asks for 2" in out
    assert "(line 8) → give each chain an anchor" in out


def test_an_open_question_alone_is_status_1(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    text = swapped(HANG, ("[-0.2, 9], strength: 36 kN", "[-0.2, 9]"))
    assert main(["check", str(write(text))]) == 1
    out = capsys.readouterr().out
    assert "OUTSIDE POLICY (the shipped policy): 1 open question\n" in out
    assert "\nOpen questions\n  OPEN    nobody has rated the anchor left" in out
    assert "NOT KNOWN" in out


def test_alike_findings_are_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", str(EXAMPLES / "descent-bar-rack.rig.yaml")])
    out = " ".join(capsys.readouterr().out.split())
    assert "if any one of these fails, rescuer falls 6 m (19.7 ft): beam, device, carabiner" in out
    assert "RUNS" in out


@pytest.mark.parametrize(("units", "has", "lacks"), [("us", "lbf", " kN"), ("metric", " kN", "lbf")])
def test_one_system_alone(
    units: str, has: str, lacks: str, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(write(LOWER)), "--units", units]) == 0
    out = capsys.readouterr().out
    assert has in out
    assert lacks not in out


def test_brief_is_one_line_a_file(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    one, two = write(HAUL, "a.yaml"), write(swapped(HANG, ("tie right", "tie left")), "b.yaml")
    assert main(["check", "--brief", str(one), str(two)]) == 1
    out = capsys.readouterr().out.splitlines()
    assert out[0] == "WITHIN POLICY  a.yaml: A weight on a 3:1: 1 caution"
    assert out[1].startswith("OUTSIDE POLICY  b.yaml: A person on two ropes: ")
    assert out[2].startswith("Computed from what was entered")


def test_json_is_one_object_of_one_file_and_a_list_of_several(
    write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    one, two = str(write(HAUL, "a.yaml")), str(write(HANG, "b.yaml"))
    assert main(["check", "--json", one]) == 0
    alone = json.loads(capsys.readouterr().out)
    assert (alone["rig"], alone["file"], alone["within_policy"]) == ("A weight on a 3:1", one, True)
    assert "under a qualified person" in alone["caution"]
    assert main(["check", "--json", one, two]) == 0
    both = json.loads(capsys.readouterr().out)
    assert [each["file"] for each in both] == [one, two]
    assert both[0] == alone


def test_a_teams_figures_are_laid_over(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    team = write('[cam-grab]\nstrength = "2 kN"\n', "team.toml")
    rig = str(write(HAUL))
    assert main(["check", "--brief", rig]) == 0
    assert main(["check", "--brief", rig, "--team", str(team)]) == 1
    assert "bears 2.00 kN" in capsys.readouterr().out


# --- what it writes


def test_out_writes_each_result_and_prints_too(
    write: Write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paths = [write(HAUL, "a.rig.yaml"), write(HANG, "b.yaml")]
    out = tmp_path / "new" / "results"
    assert main(["check", *map(str, paths), "--out", str(out)]) == 0
    assert sorted(p.name for p in out.iterdir()) == ["a.json", "b.json"]
    assert json.loads((out / "a.json").read_text("utf-8"))["rig"] == "A weight on a 3:1"
    assert "A person on two ropes" in capsys.readouterr().out


def test_two_results_of_one_name_are_refused_before_anything(
    write: Write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "other").mkdir()
    paths = [write(HAUL, "a.yaml"), write(HANG, "other/a.yaml")]
    assert main(["check", *map(str, paths), "--out", str(tmp_path / "out")]) == 2
    out, err = lines(capsys)
    assert out == ""
    assert len(err) == 1
    assert "two files would be written to" in err[0]
    assert not (tmp_path / "out").exists()


def test_no_folder_can_be_made_of_a_file(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    rig = write(HAUL)
    assert main(["check", str(rig), "--out", str(rig / "out")]) == 2
    out, err = lines(capsys)
    assert out == ""
    assert [line.split(": ")[-1] for line in err] == ["Not a directory"]


def test_what_stands_there_stays_where_it_can_not_be_replaced(
    write: Write, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    rig, out = write(HAUL, "a.yaml"), tmp_path / "out"
    (out / "a.json").mkdir(parents=True)
    (out / "a.json" / "kept").write_text("old", "utf-8")
    assert main(["check", str(rig), "--out", str(out)]) == 2
    assert (out / "a.json" / "kept").read_text("utf-8") == "old"
    assert [p.name for p in out.iterdir()] == ["a.json"]
    assert "can't be written" in capsys.readouterr().err


@pytest.fixture
def tiny(tmp_path: Path) -> Path:
    """A disk of 16 kB."""
    place = tmp_path / "tiny"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=16k", "tmpfs", str(place)]
    if os.name != "posix" or subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no small disk can be mounted here")
    return place


def test_a_full_disk_leaves_no_half_written_file(
    tiny: Path, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        (tiny / "a.json").write_text("old", "utf-8")
        assert main(["check", str(write(HAUL, "a.yaml")), "--out", str(tiny)]) == 2
        _, err = lines(capsys)
        assert [p.name for p in tiny.iterdir()] == ["a.json"]
        assert (tiny / "a.json").read_text("utf-8") == "old"
        assert len(err) == 1
        assert err[0].endswith("a.json: can't be written: No space left on device")
    finally:
        subprocess.run(["umount", str(tiny)], check=True)


def test_a_result_that_can_not_be_written_holds_no_verdict_back(
    write: Write, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    one, two, out = write(HAUL, "a.yaml"), write(HANG, "b.yaml"), tmp_path / "out"
    words = ["check", str(one), str(two), "--out", str(out)]
    monkeypatch.setattr(os, "fsync", full)
    assert main([*words, "--brief"]) == 2
    printed, err = lines(capsys)
    assert [line.partition(":")[0].split()[-1] for line in printed.splitlines()[:2]] == ["a.yaml", "b.yaml"]
    full_disk = "can't be written: No space left on device"
    assert err == [f"ropewright: {out / name}: {full_disk}" for name in ("a.json", "b.json")]
    assert list(out.iterdir()) == []
    assert main([*words, "--json"]) == 2
    assert [each["within_policy"] for each in json.loads(lines(capsys)[0])] == [True, True]


def test_a_full_disk_behind_standard_output_is_one_line(write: Write) -> None:
    rig = str(write(HAUL))
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run([*PROGRAM, "check", rig], stdout=full, stderr=subprocess.PIPE, check=False)
    assert ended.returncode == 2
    assert ended.stderr == b"ropewright: output: No space left on device\n"


# --- what it is given

BAD: list[tuple[str, tuple[tuple[str, str], ...], str]] = [
    ("an unknown key", (("loads:\n", "lods: {}\nloads:\n"),), "lods"),
    ("an unknown name", (("tie left", "tie lefft"),), "`left`"),
    ("an unknown type", (("is: rope-12.5-low-stretch", "is: rope-12-low-stretch"),), "rope-12.5-low-stretch"),
    (
        "a place without coordinates",
        (("left: {kind: anchor, at: [-0.2, 9],", "left: {kind: anchor,"),),
        "points.left",
    ),
    ("a run that ends nowhere", ((", tie climber with figure-eight-bight]", "]"),), "run"),
    ("a load with no rope", (("ropes:\n", "  pack: {kind: pack, mass: 20, at: [3, 0]}\nropes:\n"),), "pack"),
    ("a negative mass", (("mass: 95", "mass: -95"),), "mass"),
    ("an absurd mass", (("mass: 95", "mass: 1e9"),), "mass"),
    ("a mass for a force", (("strength: 15 kN", "strength: 15 kg"),), "force"),
    ("no number", (("mass: 95", "mass: .nan"),), "mass"),
    ("infinity", (("mass: 95", "mass: .inf"),), "mass"),
    ("a number too great", (("mass: 95", "mass: 1e400"),), "mass"),
    ("a tag", (("mass: 95", "mass: !!python/object:os.system 95"),), "tag"),
    ("a key twice", (("loads:\n", "loads:\n  climber: {kind: person, mass: 95, at: [0, 5]}\n"),), "climber"),
]


@pytest.mark.parametrize(("what", "swaps", "names"), BAD, ids=[row[0] for row in BAD])
def test_a_bad_file_has_its_faults_each_with_its_place(
    what: str,
    swaps: tuple[tuple[str, str], ...],
    names: str,
    write: Write,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    rig = write(swapped(HANG, *swaps))
    assert main(["check", str(rig), "--out", str(tmp_path / "out")]) == 2
    out, err = lines(capsys)
    assert out == ""
    assert 1 <= len(err) <= 3
    assert all(line.startswith(f"ropewright: {rig}: line ") and ", column " in line for line in err)
    assert names in "".join(err)
    assert list((tmp_path / "out").iterdir()) == []


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "empty"),
        (b"\x00\x01\x02", "no text"),
        (b"rig: \xff\xfe", "no UTF-8"),
        (b"[" * 5000, "nesting"),
        (b"rig: x\n" * 2_000_000, "kB"),
        (b"just words", "rig file"),
    ],
    ids=["empty", "binary", "no-utf8", "deep", "10-MB", "words"],
)
def test_what_is_no_rig_file_is_one_clear_line(
    content: bytes, says: str, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(write(content))]) == 2
    out, err = lines(capsys)
    assert out == ""
    assert len(err) == 1
    assert says in err[0]
    assert len(err[0]) < 400


def test_a_folder_a_missing_file_and_a_path_through_a_file(
    tmp_path: Path, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    rig = write(HAUL)
    assert main(["check", str(tmp_path), str(tmp_path / "none.yaml"), str(rig / "x.yaml"), "--brief"]) == 2
    out, err = lines(capsys)
    assert out == ""
    assert len(err) == 3
    assert "a folder" in err[0]
    assert "no such file" in err[1]
    assert "Not a directory" in err[2]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    rig = write(HAUL)
    rig.chmod(0)
    assert main(["check", str(rig)]) == 2
    assert "may not be read" in capsys.readouterr().err


def test_the_other_files_are_checked_all_the_same(write: Write, capsys: pytest.CaptureFixture[str]) -> None:
    good, bad = write(HAUL, "good.yaml"), write("rig: [", "bad.yaml")
    assert main(["check", "--brief", str(bad), str(good)]) == 2
    out, err = lines(capsys)
    assert out.startswith("WITHIN POLICY  good.yaml")
    assert all("bad.yaml" in line for line in err)


def test_no_file_at_all_is_a_usage_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check"]) == 2
    assert "FILE" in capsys.readouterr().err


HOSTILE = ["<script>alert(1)</script>", "quo'te \\\"d", "x" * 900, "日本語 綱", "Ω≈ç√"]


@pytest.mark.parametrize("title", HOSTILE, ids=["script", "quotes", "long", "wide", "symbols"])
def test_any_words_pass_through_terminal_and_json(
    title: str, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    text = swapped(HAUL, ("rig: A weight on a 3:1", f'rig: "{title}"\nabout: "{title}"'))
    rig = str(write(text))
    status = main(["check", rig])
    out, err = lines(capsys)
    if status == 2:  # refused with a line that says so
        assert err
        assert "\x1b" not in "".join(err)
        return
    assert all(character.isprintable() or character == "\n" for character in out)
    assert main(["check", rig, "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["about"] == title.replace('\\"', '"')


@pytest.mark.parametrize(
    "escape", ["\\u202e", "\\e[31m", "\\0", "\\n\\n"], ids=["rtl", "escape", "nul", "break"]
)
def test_no_hidden_character_reaches_the_terminal(
    escape: str, write: Write, capsys: pytest.CaptureFixture[str]
) -> None:
    text = swapped(HAUL, ("rig: A weight on a 3:1", f'rig: "a{escape}b"'))
    main(["check", str(write(text))])
    captured = capsys.readouterr()
    for character in ("\u202e", "\x1b", "\x00"):
        assert character not in captured.out + captured.err


def test_a_fault_of_our_own_is_one_line_and_the_others_go_on(
    write: Write, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from ropewright.judgement import examine as module

    real = module.examine

    def broken(rig: object, catalogue: object) -> object:
        if getattr(rig, "rig", "") == "A weight on a 3:1":
            raise ZeroDivisionError("oh\n\x1b[31m")
        return real(rig, catalogue)  # type: ignore[arg-type]

    monkeypatch.delenv("ROPEWRIGHT_TRACEBACK", raising=False)
    monkeypatch.setattr(module, "examine", broken)
    assert main(["check", "--brief", str(write(HAUL, "a.yaml")), str(write(HANG, "b.yaml"))]) == 2
    out, err = lines(capsys)
    assert out.startswith("WITHIN POLICY  b.yaml")
    assert "this should not have happened: ZeroDivisionError: oh" in err[0]
    assert "\x1b" not in "".join(err)
    monkeypatch.setenv("ROPEWRIGHT_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        main(["check", str(write(HAUL, "a.yaml"))])


# --- the bar


class Terminal:
    def __init__(self, is_one: bool) -> None:
        self.is_one, self.written = is_one, ""

    def isatty(self) -> bool:
        return self.is_one

    def write(self, text: str) -> None:
        self.written += text

    def flush(self) -> None:
        pass


@pytest.mark.parametrize(("is_one", "total", "shows"), [(True, 3, True), (False, 3, False), (True, 1, False)])
def test_a_bar_is_for_several_files_at_a_terminal(
    is_one: bool, total: int, shows: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    terminal = Terminal(is_one)
    monkeypatch.setattr("sys.stderr", terminal)
    bar = Progress(total)
    bar.begin("a\x1b.yaml")
    bar.end()
    assert bool(terminal.written) == shows
    if shows:
        assert "1 of 3  a\\x1b.yaml" in terminal.written
        assert terminal.written.endswith("\r\x1b[K")


# --- its start


def test_bad_words_on_the_line_load_nothing_heavy() -> None:
    code = (
        "import sys; from ropewright.cli import main; main(['check']); "
        "print(sorted({'numpy', 'pydantic', 'yaml', 'highspy', 'clarabel', 'typst'} & set(sys.modules)))"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert ended.stdout.strip() == b"[]"


def test_a_check_loads_no_more_than_it_needs() -> None:
    code = (
        "import sys; from ropewright.cli import main; "
        f"main(['check', {str(EXAMPLES / 'haul-3-1.rig.yaml')!r}, '--brief']); "
        "print(sorted({'typst', 'scipy', 'mujoco', 'matplotlib', 'django'} & set(sys.modules)))"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert ended.stdout.strip().endswith(b"[]")
