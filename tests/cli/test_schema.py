"""`ropewright schema`: the JSON Schema, on the terminal or in a file."""

import json
import os
from pathlib import Path

import pytest

from ropewright.cli import main
from ropewright.rig import rig_schema


def test_it_prints_the_schema(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out) == rig_schema()


def test_it_writes_the_schema(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "rig.schema.json"
    assert main(["schema", "-o", str(path)]) == 0
    assert json.loads(path.read_text("utf-8")) == rig_schema()
    assert capsys.readouterr().out == ""


def test_an_existing_file_is_left_alone_unless_forced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "mine.json"
    path.write_text("mine", "utf-8")
    assert main(["schema", "-o", str(path)]) == 2
    assert capsys.readouterr().err == f"ropewright: {path} exists and is left as it is; --force replaces it\n"
    assert path.read_text("utf-8") == "mine"
    assert main(["schema", "-o", str(path), "--force"]) == 0
    assert json.loads(path.read_text("utf-8")) == rig_schema()


@pytest.mark.parametrize("words", [[], ["--force"]])
def test_a_pipe_stays_a_pipe(words: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert main(["schema", "-o", str(tmp_path / "pipe"), *words]) == 2
    assert "can't be written: this is a pipe; name an ordinary file" in capsys.readouterr().err
    assert (tmp_path / "pipe").is_fifo()


def test_a_folder_for_a_file_is_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "-o", str(tmp_path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
