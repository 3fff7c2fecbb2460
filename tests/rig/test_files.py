"""Rig files, valid and not, each with what the reader has to make of it beside it."""

from pathlib import Path

import pytest

from ropewright.rig import RigFileError, read_rig, write_rig

FILES = Path(__file__).parent / "files"
VALID = sorted((FILES / "valid").glob("*.yaml"))
INVALID = sorted((FILES / "invalid").glob("*.yaml"))


def test_there_are_files() -> None:
    assert len(VALID) >= 9
    assert len(INVALID) >= 90


@pytest.mark.parametrize("path", VALID, ids=lambda path: path.stem)
def test_a_valid_file_reads_and_writes_as_expected(path: Path) -> None:
    rig = read_rig(path)
    assert write_rig(rig) == path.with_suffix(".txt").read_text("utf-8")
    assert read_rig(write_rig(rig)) == rig


@pytest.mark.parametrize("path", INVALID, ids=lambda path: path.stem)
def test_an_invalid_file_is_refused_with_every_fault_and_its_place(path: Path) -> None:
    with pytest.raises(RigFileError) as refused:
        read_rig(path)
    found = "".join(f"{fault}\n" for fault in refused.value.faults)
    assert found == path.with_suffix(".txt").read_text("utf-8")
    assert str(refused.value).splitlines()[0].startswith(f"{path}: line ")
    assert all(line.isprintable() for line in str(refused.value).splitlines())
