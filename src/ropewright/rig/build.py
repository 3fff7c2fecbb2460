"""From a document of the right shape to the parts of a rig, each with its line."""

from dataclasses import replace

from ropewright.catalogue.profiles import profile
from ropewright.rig.document import CrewIn, Document, GearIn, HaulIn, LoadIn, LowerIn, PlaceIn, RopeIn
from ropewright.rig.model import Crew, Gear, Load, Motion, Place, Rig, Rope
from ropewright.rig.yamltext import Path, Tree

__all__ = ["DEFAULT_JOIN", "build_rig"]

# What joins gear to its place where the file says nothing.
DEFAULT_JOIN = ("carabiner-locking",)


def build_rig(document: Document, tree: Tree) -> Rig:
    """Make the rig; `assume` and `policy` are added when they have been read."""

    def line(*path: str | int) -> int:
        return tree.place(path, key=True)[0]

    return Rig(
        rig=document.rig,
        about=document.about or "",
        units=document.units,
        points={name: _place(name, part, line("points", name)) for name, part in document.points.items()},
        loads={name: _load(name, part, line("loads", name)) for name, part in document.loads.items()},
        crews={name: _crew(name, part, line("crews", name)) for name, part in document.crews.items()},
        gear={name: _gear(name, part, line("gear", name)) for name, part in document.gear.items()},
        ropes={name: _rope(name, part, tree) for name, part in document.ropes.items()},
        haul=_motion(document.haul, line("haul")),
        lower=_motion(document.lower, line("lower")),
    )


def _place(name: str, part: PlaceIn, line: int) -> Place:
    return Place(
        name, part.kind, part.at, part.strength, part.surface, part.protection, part.about or "", line
    )


def _load(name: str, part: LoadIn, line: int) -> Load:
    return Load(name, part.kind, part.mass, part.at, part.wears, part.about or "", line)


def _crew(name: str, part: CrewIn, line: int) -> Crew:
    effort = part.pull if isinstance(part.pull, str) else None
    pull = profile(part.pull) if isinstance(part.pull, str) else part.pull
    return Crew(name, part.at, part.people, pull, effort, part.about or "", line)


def _gear(name: str, part: GearIn, line: int) -> Gear:
    via = part.via
    if via is None:
        via = DEFAULT_JOIN if isinstance(part.at, str) else ()
    return Gear(name, part.is_, part.at, via, part.state, part.about or "", line, part.over or ())


def _rope(name: str, part: RopeIn, tree: Tree) -> Rope:
    path: Path = ("ropes", name)
    run = tuple(
        replace(contact, line=tree.place((*path, "run", index))[0]) for index, contact in enumerate(part.run)
    )
    return Rope(name, part.is_, part.length, run, part.about or "", tree.place(path, key=True)[0])


def _motion(part: HaulIn | LowerIn | None, line: int) -> Motion | None:
    if part is None:
        return None
    return Motion(part.load, part.up if isinstance(part, HaulIn) else part.down, line)
