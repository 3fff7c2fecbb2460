"""The entry: statuses, one-line errors, no traceback."""

import subprocess
import sys
from pathlib import Path

import click
import pytest

from ropewright import __version__
from ropewright.cli import main
from ropewright.cli.commands import catalogue as catalogue_command
from ropewright.cli.main import COMMANDS

EXAMPLES = Path(__file__).parents[2] / "examples"
PROGRAM = [sys.executable, "-c", "import sys; from ropewright.cli import main; sys.exit(main())"]


def test_version(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--version"]) == 0
    assert capsys.readouterr().out == f"ropewright {__version__}\n"


def test_help_names_the_commands_and_the_caution(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["--help"]) == 0
    out = capsys.readouterr().out
    assert "catalogue" in out
    assert "under a qualified person" in " ".join(out.split())


def test_no_words_at_all_shows_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 2
    assert capsys.readouterr().out.startswith("Usage: ropewright")


@pytest.mark.parametrize(
    ("argv", "message"),
    [
        (["chek"], "ropewright: no command is called 'chek'; known are "),
        (["catalogue", "pully"], "ropewright: no gear type is called 'pully'; did you mean pulley-single?"),
        (["catalogue", "--units", "stone"], "ropewright: Invalid value for '--units'"),
        (
            ["catalogue", "--team", "none.toml"],
            "ropewright: none.toml: can't be read: No such file or directory",
        ),
        (
            ["catalogue", "a\x1b[31m\u202e<script>"],
            "ropewright: no gear type is called 'a\\x1b[31m\\u202e<script>'",
        ),
        (["catalogue", "x" * 10_000], "ropewright: no gear type is called 'xxx"),
    ],
)
def test_what_can_not_be_used_is_one_line_and_status_2(
    argv: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(argv) == 2
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith(message)
    assert captured.err.count("\n") == 1
    assert len(captured.err) < 600


def test_every_fault_of_a_file_has_its_own_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    path.write_text('[cam-grab]\nstrength = "9 kg"\nmas = 3\n["\\u202e"]\n', "utf-8")
    assert main(["catalogue", "--team", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 3
    assert all(line.startswith(f"ropewright: {path}: [") for line in lines)
    assert "\u202e" not in "".join(lines)


@pytest.mark.parametrize(("raised", "status"), [(KeyboardInterrupt(), 130), (click.Abort(), 130)])
def test_an_interrupt_is_quiet(
    raised: BaseException, status: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(_: object) -> None:
        raise raised

    monkeypatch.setattr(catalogue_command, "load_catalogue", interrupted)
    assert main(["catalogue"]) == status
    assert "Traceback" not in capsys.readouterr().err


def test_a_fault_of_our_own_is_said_in_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def broken(_: object) -> None:
        raise TypeError("None\n\x1b[0m")

    monkeypatch.delenv("ROPEWRIGHT_TRACEBACK", raising=False)
    monkeypatch.setattr(catalogue_command, "load_catalogue", broken)
    assert main(["catalogue"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("ropewright: this should not have happened: TypeError: None\n")
    assert "\x1b" not in err
    monkeypatch.setenv("ROPEWRIGHT_TRACEBACK", "1")
    with pytest.raises(TypeError):
        main(["catalogue"])


def test_a_closed_pipe_is_quiet() -> None:
    running = subprocess.Popen(
        [*PROGRAM, "catalogue", "--json"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )
    assert running.stdout is not None
    assert running.stderr is not None
    running.stdout.close()
    err = running.stderr.read()
    running.stderr.close()
    assert running.wait() == 141
    assert err == b""


@pytest.mark.parametrize(
    ("words", "closed", "status"),
    [
        ("schema", ">&-", 141),
        ("--version", ">&-", 141),
        ("schema", ">&- 2>&- <&-", 141),
        ("schema", "2>&-", 0),
        ("check none-1.yaml none-2.yaml", "2>&-", 2),
        ("check none.yaml", ">&-", 2),
        ("new", "<&-", 2),
        ("chek", ">&- 2>&-", 2),
    ],
)
def test_a_stream_that_was_closed_before_the_start_is_quiet(words: str, closed: str, status: int) -> None:
    ended = subprocess.run(
        ["sh", "-c", f'"$@" {closed}', "sh", *PROGRAM, *words.split()], capture_output=True, check=False
    )
    assert ended.returncode == status
    assert b"Traceback" not in ended.stderr
    assert b"should not have happened" not in ended.stderr
    assert b"Exception ignored" not in ended.stderr
    if status == 141:
        assert ended.stdout + ended.stderr == b""


@pytest.mark.parametrize(
    "argv",
    [
        ["check", ""],
        ["check", "rig.yaml", "--out", ""],
        ["draw", "rig.yaml", "--out", " "],
        ["card", "rig.yaml", "--out", ""],
        ["trace", ""],
        ["schema", "-o", ""],
        ["new", "lower", "-o", ""],
        ["catalogue", "--team", ""],
    ],
)
def test_an_empty_name_is_not_the_current_folder(
    argv: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "rig.yaml").write_bytes((EXAMPLES / "haul-3-1.rig.yaml").read_bytes())
    assert main(argv) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert "found an empty name; write the name of a file or a folder" in err
    assert [path.name for path in tmp_path.iterdir()] == ["rig.yaml"]


def test_a_flood_of_faults_is_cut(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "own.toml"
    path.write_text("".join(f"[k{number}]\n" for number in range(3000)), "utf-8")
    assert main(["catalogue", "--team", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 101
    assert lines[-1] == "ropewright: and 2,900 more"


def test_a_full_disk_is_one_line() -> None:
    with Path("/dev/full").open("wb") as full:
        ended = subprocess.run([*PROGRAM, "catalogue"], stdout=full, stderr=subprocess.PIPE, check=False)
    assert ended.returncode == 2
    assert ended.stderr == b"ropewright: output: No space left on device\n"


def test_a_terminal_without_the_characters_gets_escapes() -> None:
    ended = subprocess.run(
        [*PROGRAM, "catalogue", "harness"],
        capture_output=True,
        check=True,
        env={"PYTHONIOENCODING": "latin-1"},
    )
    assert b"not known" in ended.stdout
    assert b"\\u2500" in ended.stdout


def test_the_help_page_lists_each_command_once() -> None:
    assert len(set(COMMANDS)) == len(COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_module_holds_a_command_of_its_name(name: str) -> None:
    module = pytest.importorskip(f"ropewright.cli.commands.{name}")
    assert isinstance(module.command, click.Command)


def test_listing_the_catalogue_loads_nothing_heavy() -> None:
    code = (
        "import sys; from ropewright.cli import main; main(['catalogue']); "
        "print(sorted({'numpy', 'pydantic', 'yaml', 'highspy', 'typst'} & set(sys.modules)), file=sys.stderr)"
    )
    ended = subprocess.run([sys.executable, "-c", code], capture_output=True, check=True)
    assert ended.stderr.strip() == b"[]"
