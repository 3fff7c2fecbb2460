"""What a proof says is to be stated, stated as it says: the procedure then reads, and is asked no more."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.procedure import Proof, World, prove, read_procedure
from tests.advice import advised, stated

from .shipped import FOLDER


def unstated(tmp_path: Path, name: str) -> Path:
    """A shipped procedure and its rigs with nothing stated."""
    for rig in FOLDER.glob("*.rig.yaml"):
        (tmp_path / rig.name).write_text(without_figures(rig.read_text("utf-8")), "utf-8")
    path = tmp_path / f"{name}.procedure.yaml"
    shutil.copy(FOLDER / path.name, path)
    path.write_text(without_figures(path.read_text("utf-8")), "utf-8")
    return path


def without_figures(text: str) -> str:
    return re.sub(r"(?m)^assume:.*\n(?:[ #].*\n|\n(?= ))*", "", text)


def proof_of(path: Path, catalogue: Catalogue) -> Proof:
    procedure = read_procedure(path, catalogue)
    return prove(procedure, catalogue, World(procedure, catalogue), failing=False)


def fixes(proof: Proof) -> list[str]:
    faults = [*proof.start_faults, *(f for played in proof.steps for f in played.faults)]
    return [f.fix for f in faults if f.kind == "not-rated"]


def forgotten(*types: str) -> Catalogue:
    """The catalogue without the strength of some types."""
    return Catalogue(
        replace(
            k,
            figures={
                n: replace(f, value=None) if n in ("strength", "keeps") else f for n, f in k.figures.items()
            },
        )
        if k.name in types
        else k
        for k in load_catalogue().values()
    )


@pytest.mark.parametrize("name", ["ascent-to-descent", "pick-off", "litter-over-the-edge"])
@pytest.mark.parametrize(
    "types",
    [(), ("carabiner-locking", "rope-12.5-low-stretch"), ("figure-eight-bight", "figure-eight", "bowline")],
    ids=["people and gear", "joins and ropes", "knots"],
)
def test_what_is_to_be_stated_can_be_stated(tmp_path: Path, name: str, types: tuple[str, ...]) -> None:
    catalogue, path = forgotten(*types), unstated(tmp_path, name)
    seen: set[tuple[str, str]] = set()
    for _ in range(4):  # what is stated lets the steps go on to what is asked for next
        asked = advised(fixes(proof_of(path, catalogue)))
        assert not asked & seen
        if not asked:
            break
        seen |= asked
        path.write_text(stated(path.read_text("utf-8"), asked), "utf-8")
    assert seen
    assert not advised(fixes(proof_of(path, catalogue)))


def test_a_persons_harness_is_stated_by_its_type(tmp_path: Path) -> None:
    said = fixes(proof_of(unstated(tmp_path, "ascent-to-descent"), load_catalogue()))
    assert "read its label or have it rated, and state it: `assume: harness: strength`" in said
