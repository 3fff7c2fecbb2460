"""Reading a rig file: everything wrong with it is told at once, each thing with its line and column."""

import stat
from collections.abc import Mapping
from dataclasses import replace
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
from ropewright.rig.faults import Fault, RigFileError, shown
from ropewright.rig.model import Rig
from ropewright.rig.overrides import read_assume, read_policy
from ropewright.rig.runs import check_runs
from ropewright.rig.shape import read_shape
from ropewright.rig.yamltext import MOST_BYTES, Tree, load_yaml

__all__ = ["read_rig"]

_CHECKS = (check_places, check_loads, check_gear, check_runs, check_motions)


def read_rig(source: FilePath | str | bytes, catalogue: Catalogue | None = None) -> Rig:
    """Read a rig from a file (a Path) or from its text (str or bytes).

    catalogue: the types that may be named; the shipped one when left out.
    Errors: RigFileError, whose `faults` hold everything that is wrong, in the order of the file.
    """
    name = str(source) if isinstance(source, FilePath) else "rig file"
    tree = load_yaml(_text(source, name), name)
    faults = list(tree.faults)
    if not isinstance(tree.value, dict):
        if not faults:
            faults.append(tree.fault((), _nothing_in_it(tree.value)))
        raise RigFileError(faults, name)
    found: list[Found] = []
    rig = _rig(tree, tree.value, catalogue or load_catalogue(), found)
    faults += [tree.fault(each.path, each.text, key=each.key) for each in found]
    if faults:
        raise RigFileError(faults, name)
    return rig


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


def _text(source: FilePath | str | bytes, name: str) -> str:
    if isinstance(source, str):
        data = source.encode("utf-8", "surrogatepass")
    else:
        data = source if isinstance(source, bytes) else _bytes(source)
    if len(data) > MOST_BYTES:
        raise _unusable(name, f"more than {MOST_BYTES // 1000:,} kB; a rig file holds one rig")
    if b"\0" in data:
        raise _unusable(name, "this is no text (it holds zero bytes); a rig file is YAML text in UTF-8")
    try:
        return data.decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
    except UnicodeDecodeError as error:
        before = data[: error.start]
        line, column = before.count(b"\n") + 1, error.start - (before.rfind(b"\n") + 1) + 1
        text = f"found a byte (0x{data[error.start]:02x}) that is no UTF-8; save the file as UTF-8"
        raise RigFileError([Fault(line, column, "", text)], name) from None


def _bytes(path: FilePath) -> bytes:
    """Read a file, no more of it than is needed to know that it is too long."""
    try:
        mode = path.stat().st_mode
        if not stat.S_ISREG(mode):
            what = "a folder" if stat.S_ISDIR(mode) else "no ordinary file"
            raise _unusable(str(path), f"this is {what}; name a rig file, as in `lower.rig.yaml`")
        with path.open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise _unusable(str(path), "there is no such file; check the name") from None
    except PermissionError:
        raise _unusable(str(path), "the file may not be read; ask its owner for permission") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _unusable(str(path), f"the file can't be read: {reason}") from None


def _unusable(name: str, text: str) -> RigFileError:
    return RigFileError([Fault(1, 1, "", text)], name)
