"""What a catalogue holds: types, their figures, and the rules by which they hold a rope."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from ropewright.errors import RopewrightError
from ropewright.quantity import Kind, Range

__all__ = [
    "CONFIDENCE",
    "FAMILIES",
    "FIGURES",
    "Catalogue",
    "CatalogueError",
    "Family",
    "Figure",
    "FigureKey",
    "GearType",
    "Holding",
]

Family = Literal["rope", "pulley", "grab", "device", "join", "body", "protection", "surface", "knot"]

# Each family with the figures that every type of it has, be it as "not known", and those that it may have.
FAMILIES: Mapping[Family, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "rope": (("diameter", "strength", "stiffness", "mass"), ()),
    "pulley": (("efficiency", "strength", "mass", "length"), ("user-mass",)),
    "grab": (("strength", "slips", "mass", "length"), ("user-mass", "efficiency")),
    "device": (("efficiency", "strength", "mass", "length"), ("ratio", "slips", "user-mass")),
    "join": (("strength", "mass", "length"), ("efficiency", "user-mass")),
    "body": (("strength", "user-mass", "mass"), ()),
    "protection": (("friction",), ()),
    "surface": (("friction",), ()),
    "knot": (("keeps",), ()),
}


@dataclass(frozen=True, slots=True)
class FigureKey:
    """What a figure means: its kind and SI unit, the numbers that make sense, and a line for people."""

    kind: Kind
    unit: str
    least: float
    most: float
    meaning: str


_NO_END = float("inf")

# A rope's 'mass' is per metre; see `GearType.key_kind`.
FIGURES: Mapping[str, FigureKey] = {
    "diameter": FigureKey("length", "m", 0.002, 0.1, "thickness"),
    "strength": FigureKey("force", "N", 1.0, _NO_END, "least breaking strength, new"),
    "stiffness": FigureKey("force", "N", 1.0, _NO_END, "force per unit of stretch (EA)"),
    "mass": FigureKey("mass", "kg", 0.0, _NO_END, "mass"),
    "mass-per-length": FigureKey("mass_per_length", "kg/m", 0.0, _NO_END, "mass per length"),
    "length": FigureKey("length", "m", 0.0, 20.0, "room that it takes along the line"),
    "user-mass": FigureKey("mass", "kg", 1.0, _NO_END, "most that may hang on it"),
    "efficiency": FigureKey("share", "", 0.01, 1.0, "tension out over tension in, a half turn, hauling"),
    "slips": FigureKey("force", "N", 1.0, _NO_END, "force at which it starts to slip"),
    "ratio": FigureKey("share", "", 1.0, 1000.0, "load over hand tension when lowering"),
    "friction": FigureKey("share", "", 0.0, 3.0, "capstan friction coefficient"),
    "keeps": FigureKey("share", "", 0.01, 1.0, "share of the rope's strength that is left"),
}

CONFIDENCE: Mapping[str, str] = {
    "T": "measured in a test",
    "S": "required by a standard, as quoted",
    "R": "rule of thumb or teaching figure",
    "C": "a maker's catalogue figure",
    "D": "derived by arithmetic",
    "A": "planning assumption, no source",
    "N": "stated by the team",
    "": "not known",
}


_MOST_TOLD = 100


class CatalogueError(RopewrightError):
    """An unknown gear type or figure, or a team file that can't be used.

    faults: every fault found, one line each; the text tells the first hundred and counts the others.
    """

    def __init__(self, *faults: str) -> None:
        left = len(faults) - _MOST_TOLD
        more = [f"and {left:,} more"] if left > 0 else []
        super().__init__("\n".join([*faults[:_MOST_TOLD], *more]))
        self.faults = faults


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure of a type, in SI; `value` is None where nothing good enough to print is known."""

    name: str
    value: Range | None
    unit: str
    source: str
    confidence: str
    note: str

    @property
    def is_known(self) -> bool:
        """Whether there is a value at all."""
        return self.value is not None


@dataclass(frozen=True, slots=True)
class Holding:
    """How a thing holds a rope, as rules.

    bites: holds the rope by itself. one_way: passes rope from the start of the run towards its end and stops
    it the other way. needs_hand: lets the rope run unless a brake hand holds it. locks_off: can be made fast.
    opens_under_load: can be released while loaded. follows: runs along either way on a slack rope, and
    bites in a fall. comes_off_under_load: may leave the rope while loaded.
    life_support: meant to hold people.
    """

    bites: bool = False
    one_way: bool = False
    needs_hand: bool = False
    locks_off: bool = False
    opens_under_load: bool = False
    follows: bool = False
    comes_off_under_load: bool = False
    life_support: bool = True


@dataclass(frozen=True, slots=True)
class GearType:
    """A generic kind of gear: never a maker's model."""

    name: str
    family: Family
    summary: str
    sheaves: int
    holding: Holding
    figures: Mapping[str, Figure]

    def key_kind(self, key: str) -> FigureKey:
        """Return what the figure `key` means for this family (a rope's mass is per metre)."""
        return figure_key(self.family, key)


def figure_key(family: Family, key: str) -> FigureKey:
    """Return what the figure `key` means in a family; KeyError where no such figure exists."""
    return FIGURES["mass-per-length" if (family, key) == ("rope", "mass") else key]


class Catalogue(Mapping[str, GearType]):
    """Gear types by name, in the order of their families."""

    def __init__(self, types: Iterable[GearType]) -> None:
        order = {family: place for place, family in enumerate(get_args(Family))}
        self._types = {kind.name: kind for kind in sorted(types, key=lambda kind: order[kind.family])}

    def __getitem__(self, name: str) -> GearType:
        return self._types[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._types)

    def __len__(self) -> int:
        return len(self._types)

    def of_family(self, *families: Family) -> tuple[GearType, ...]:
        """Return the types of these families, in catalogue order."""
        return tuple(kind for kind in self._types.values() if kind.family in families)

    def nearest(self, name: str) -> str | None:
        """Return the known type whose name is most like `name`, or None where none is near."""
        return _nearest(name, self._types)

    def type(self, name: str) -> GearType:
        """Return a type; CatalogueError with the nearest name where it is unknown."""
        try:
            return self._types[name]
        except KeyError:
            raise CatalogueError(
                f"no gear type is called '{name[:60]}'{did_you_mean(name, self._types)}"
            ) from None

    def figure(self, type_name: str, key: str) -> Figure:
        """Return one figure of a type, maybe 'not known'; CatalogueError where it has no such figure."""
        kind = self.type(type_name)
        try:
            return kind.figures[key]
        except KeyError:
            raise CatalogueError(
                f"{type_name} has no figure '{key[:60]}'{did_you_mean(key, kind.figures)}; "
                f"it has {', '.join(kind.figures)}"
            ) from None


def did_you_mean(name: str, known: Iterable[str]) -> str:
    """Return '; did you mean X?', or nothing where no known name is near."""
    near = _nearest(name, known)
    return f"; did you mean {near}?" if near else ""


def _nearest(name: str, known: Iterable[str]) -> str | None:
    from difflib import get_close_matches  # only needed once something is wrong

    return next(iter(get_close_matches(name[:60].lower(), list(known), n=1, cutoff=0.55)), None)
