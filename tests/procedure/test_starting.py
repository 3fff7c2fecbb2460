"""The first text of a procedure can be used on every shipped rig."""

from __future__ import annotations

from pathlib import Path

import pytest

from ropewright.catalogue import load_catalogue
from ropewright.procedure import read_procedure
from ropewright.procedure.starting import first_text
from ropewright.rig import read_rig

CATALOGUE = load_catalogue()
FILES = sorted((Path(__file__).parents[2] / "examples").rglob("*.rig.yaml"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_it_reads_on_every_shipped_rig(path: Path) -> None:
    rig = read_rig(path, CATALOGUE)
    read = read_procedure(first_text("Yes: no", rig, path.name), CATALOGUE, lambda _name: rig)
    assert read.name == "Yes: no"
    assert [step.text for step in read.steps] == ["call ready"]
