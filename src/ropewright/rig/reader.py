"""Reading a rig file: everything wrong with it is told at once, each thing with its line and column."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path as FilePath
from typing import Any

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.quantity import System
from ropewright.rig.build import build_rig
from ropewright.rig.checks import (
    check_gear,
    check_loads,
    check_motions,
    check_names,
    check_places,
)
from ropewright.rig.document import SECTIONS
from ropewright.rig.draft import Draft, Found
from ropewright.rig.faults import RigFileError, shown
from ropewright.rig.model import Rig
from ropewright.rig.overrides import read_assume, read_policy
from ropewright.rig.runs import check_runs
from ropewright.rig.shape import read_shape
from ropewright.rig.textfile import read_text
from ropewright.rig.yamltext import Tree, load_yaml

__all__ = ["Reading", "read_rig", "read_so_far"]

_CHECKS = (check_places, check_loads, check_gear, check_runs, check_motions)


@dataclass(frozen=True, slots=True)
class Reading:
    """A text as far as it reads. `found`: what is wrong beside the tree's own faults; `rig`: what is right
    of it, None where nothing is.
    """

    tree: Tree
    found: tuple[Found, ...] = ()
    rig: Rig | None = None


def read_rig(source: FilePath | str | bytes, catalogue: Catalogue | None = None) -> Rig:
    """Read a rig from a file (a Path) or from its text (str or bytes).

    catalogue: the types that may be named; the shipped one when left out.
    Errors: RigFileError, whose `faults` hold everything that is wrong, in the order of the file.
    """
    name = str(source) if isinstance(source, FilePath) else "rig file"
    reading = read_so_far(source, catalogue, name)
    faults = [*reading.tree.faults]
    faults += [reading.tree.fault(each.path, each.text, key=each.key) for each in reading.found]
    if reading.rig is None or faults:
        raise RigFileError(faults, name)
    return reading.rig


def read_so_far(
    source: FilePath | str | bytes, catalogue: Catalogue | None = None, name: str = "rig file"
) -> Reading:
    """Read what can be read of a rig, with everything that is wrong with it."""
    tree = load_yaml(read_text(source, name, "a rig file", "lower.rig.yaml"), name)
    if not isinstance(tree.value, dict):
        nothing = () if tree.faults else (Found((), _nothing_in_it(tree.value)),)
        return Reading(tree, nothing)
    found: list[Found] = []
    rig = _rig(tree, tree.value, catalogue or load_catalogue(), found)
    return Reading(tree, tuple(found), rig)


def _rig(tree: Tree, value: dict[str, Any], catalogue: Catalogue, found: list[Found]) -> Rig:
    """Make the rig from a document's plain value, adding everything wrong with it to `found`."""
    system: System = "us" if value.get("units") == "us" else "metric"
    document, shape_faults = read_shape(value, system, tree.refused)
    found += shape_faults
    sections = {section: _named(value.get(section)) for section in SECTIONS}
    found += check_names(sections)
    draft = Draft(
        rig=build_rig(document, tree),
        catalogue=catalogue,
        system=system,
        sections={name: section for section in reversed(SECTIONS) for name in sections[section]},
        assume=document.assume,
        policy=document.policy,
    )
    for check in _CHECKS:
        found += check(draft)
    return replace(draft.rig, assume=read_assume(draft, found), policy=read_policy(draft, found))


def _named(section: Any) -> Mapping[str, Any]:
    return section if isinstance(section, dict) else {}


def _nothing_in_it(value: object) -> str:
    if value is None:
        return "the file is empty; a rig file starts with `rig:` and a title"
    return f"found {shown(value)}; a rig file is a list of keys such as `rig:`, `points:`, `ropes:`"
