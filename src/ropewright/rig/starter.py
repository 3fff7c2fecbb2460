"""A first rig file from a few answers, with a comment on each section."""

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.errors import RopewrightError
from ropewright.quantity import show_length, show_mass
from ropewright.rig.faults import shown, suggestion
from ropewright.rig.model import Rig
from ropewright.rig.starter_rigs import STARTERS, start_rig
from ropewright.rig.starter_site import HIGHEST, LOWEST, Answers, StarterKind
from ropewright.rig.writer import write_rig

__all__ = ["STARTER_KINDS", "Answers", "StarterError", "StarterKind", "starter_text"]

STARTER_KINDS: tuple[StarterKind, ...] = tuple(STARTERS)

LIGHTEST, HEAVIEST = 20.0, 400.0  # kg

_HEADER = (
    "A rig file says what is rigged; forces and margins are worked out from it. Change what is different",
    "here; the check then says what is missing. What stands behind a # is a note and is not read.",
)
_COMMENTS = {
    "units": ("What a bare number means: metric (m, kg, kN) or us (ft, lb, lbf). `30 ft` works in both.",),
    "points": (
        "Places that do not move: x to the right, z up, [x, z] or [x, y, z]. State an anchor's strength only",
        "where somebody rated it; without one the check asks for it. An edge names its surface, and its",
        "protection if it has any.",
    ),
    "loads": ("What hangs or moves, with everything worn or packed.",),
    "crews": ("Who pulls or holds a rope, where from, how many, and the force each can give.",),
    "gear": (
        "'is' names a type of the catalogue (`ropewright catalogue` lists them); 'at' names what it is",
        "clipped to, or the place where it starts when it rides on a rope.",
    ),
    "ropes": (
        "Each run goes from the end that is made fast, along the rope, to the hand or the tail. The words",
        "are tie, grip, through, over, hand and tail; `slack 0.5` leaves slack in the span that ends there.",
    ),
    "haul": ("What is to be raised, and how far.",),
    "lower": ("What is to be lowered, and how far.",),
}
# One line is enough for a thing, and not for somebody: such a rig starts with a weight and says so.
_ON_ONE_LINE = {
    "lower": (
        "One line holds it, so it starts as a weight to train with. Before anybody hangs here, add a second",
        "line to another anchor; `ropewright new main-and-second` has one.",
    ),
}
# What a label says and no catalogue of generic types can know; nothing is filled in for the reader.
_ON_LABELS = {"strength": {"metric": "… kN", "us": "… lbf"}, "user-mass": {"metric": "… kg", "us": "… lb"}}
_LABELS = (
    "Figures from your own labels and nameplates replace the catalogue's, by type or by a part's own name.",
    "The catalogue doesn't know these of this rig: read them, fill them in, and take the # away.",
    "assume:",
)
_FOOTER = (
    "Your own rules replace the shipped policy's:",
    "policy: {static-factor: 10}",
)


class StarterError(RopewrightError):
    """Answers that no rig can be made from. The text says what was found and what would be right."""


def starter_text(answers: Answers, catalogue: Catalogue | None = None) -> str:
    """Write a commented rig file from answers; the same answers give the same bytes. Errors: StarterError."""
    catalogue = catalogue if catalogue is not None else load_catalogue()
    _check(answers, catalogue)
    lines = [f"# {line}" for line in _HEADER]
    rig = start_rig(answers)
    for line in write_rig(rig, catalogue).splitlines():
        section = line.partition(":")[0]
        more = _ON_ONE_LINE.get(answers.kind, ()) if section == "loads" else ()
        lines += [f"# {comment}" for comment in (*_COMMENTS.get(section, ()), *more)]
        lines.append(line)
    footer = (*_labels(rig, catalogue), *_FOOTER)
    return "\n".join([*lines, "", *(f"# {line}" for line in footer)]) + "\n"


def _labels(rig: Rig, catalogue: Catalogue) -> list[str]:
    """Write what the catalogue doesn't know of the gear in a rig, each figure with room for what is read."""
    worn = [load.wears for load in rig.loads.values() if load.wears]
    clipped = [word for gear in rig.gear.values() for word in (gear.type, *gear.via)]
    types = dict.fromkeys([*worn, *clipped, *(rope.type for rope in rig.ropes.values())])
    lines = []
    for name in types:
        figures = catalogue.type(name).figures
        rooms = [
            f"{key}: {room[rig.units]}"
            for key, room in _ON_LABELS.items()
            if key in figures and not figures[key].is_known
        ]
        if rooms:
            lines.append(f"  {name}: {{{', '.join(rooms)}}}")
    return [*_LABELS, *lines] if lines else []


def _check(answers: Answers, catalogue: Catalogue) -> None:
    if answers.kind not in STARTERS:
        right = suggestion(answers.kind, STARTERS, f"Known: {', '.join(STARTERS)}")
        raise StarterError(f"no rig to start from is called {shown(answers.kind)}. {right}")
    if answers.height is not None and not LOWEST <= answers.height <= HIGHEST:
        found, least, most = (show_length(length) for length in (answers.height, LOWEST, HIGHEST))
        raise StarterError(f"a height of {found}; a rig to start from is between {least} and {most} high")
    mass = answers.mass
    if mass is not None and not LIGHTEST <= mass.low <= mass.high <= HEAVIEST:
        found, least, most = (show_mass(figure) for figure in (mass.likely, LIGHTEST, HEAVIEST))
        raise StarterError(f"a mass of {found}; what hangs on a rig to start from has {least} to {most}")
    if answers.legs not in (2, 3):
        raise StarterError(f"{answers.legs} legs; an anchor to start from has 2 or 3")
    if answers.people is not None and not 1 <= answers.people <= 100:
        raise StarterError(f"{answers.people} people; a crew is between 1 and 100")
    if answers.surface and answers.kind == "anchor-legs":
        raise StarterError("an edge on an anchor's legs; start from another rig, or add it to the file")
    if answers.protection and not answers.surface:
        raise StarterError("a protection without an edge; name the edge's surface too")
    for word, family in ((answers.surface, "surface"), (answers.protection, "protection")):
        known = [name for name, kind in catalogue.items() if kind.family == family]
        if word and word not in known:
            right = suggestion(word, known, f"Known: {', '.join(known)}")
            raise StarterError(f"no {family} is called {shown(word)}. {right}")
