"""`ropewright schema`: the JSON Schema, on the terminal or in a file."""

import json
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


def test_a_folder_for_a_file_is_told_in_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema", "-o", str(tmp_path)]) == 2
    assert capsys.readouterr().err.count("\n") == 1
    assert list(tmp_path.iterdir()) == []
