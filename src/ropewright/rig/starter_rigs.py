"""The rigs that a new file can start from. Where things stand is the site's."""

import math
from collections.abc import Callable
from dataclasses import replace

from ropewright.quantity import STANDARD_GRAVITY
from ropewright.rig.build import DEFAULT_JOIN
from ropewright.rig.contacts import read_contact
from ropewright.rig.model import Crew, Gear, Load, Motion, Place, Rig, Rope
from ropewright.rig.starter_site import Answers, Site, StarterKind

__all__ = ["STARTERS", "start_rig"]

ROPE = "rope-12.5-low-stretch"
ROPE_STEP = {"metric": 10.0, "us": 15.24}  # m; ropes come in whole tens of metres, or in 50 ft
SUSTAINED = 133.0  # what one hauler is counted on for [N] where no policy says otherwise, for the same guess
LOSS = 0.7  # share of the ideal advantage that is left by friction, for a first guess of the crew
KNOT = "figure-eight-bight"
WITHIN_REACH = 0.7  # m above somebody on a rope


def start_rig(answers: Answers) -> Rig:
    """Make the rig that the answers ask for."""
    return STARTERS[answers.kind](Site(answers))


def _rope(site: Site, name: str, strands: float, *run: str) -> Rope:
    """Make a rope that is long enough for so many strands of the height, with some to spare."""
    step = ROPE_STEP[site.answers.units]
    length = step * math.ceil((strands * site.top + (25.0 if site.has_edge else 15.0)) / step)
    return Rope(name, ROPE, length, tuple(map(read_contact, run)))


def _clipped(name: str, kind: str, at: str, *, in_hand: bool = False) -> Gear:
    return Gear(name, kind, at, DEFAULT_JOIN, "in-hand" if in_hand else "running")


def _rig(
    site: Site, title: str, about: str, anchors: int, lips: tuple[int, ...], loads: list[Load],
    crews: list[Crew], gear: list[Gear], ropes: list[Rope],
    haul: Motion | None = None, lower: Motion | None = None,
) -> Rig:  # fmt: skip
    return Rig(
        rig=title,
        about=about,
        units=site.answers.units,
        points=site.places(anchors, lips),
        loads={part.name: part for part in loads},
        crews={part.name: part for part in crews},
        gear={part.name: part for part in gear},
        ropes={part.name: part for part in ropes},
        haul=haul,
        lower=lower,
    )


def _person(site: Site, name: str, share: float, below: float = 0.0) -> Load:
    return Load(name, "person", site.mass, site.hanging(share, below), "harness")


def _litter(site: Site, share: float) -> Load:
    return Load("litter", "litter", site.mass, site.hanging(share), "litter-basket")


def _backed_up(site: Site, name: str) -> tuple[Gear, Rope]:
    """Give the second line of somebody on a rope: a back-up that follows on a rope of its own."""
    gear = Gear("backup", "running-back-up", name, ("carabiner-locking", "lanyard"))
    run = (f"tie anchor-2 with {KNOT}", *site.over(1), f"grip backup {site.slack(0.3)}", "tail")
    return gear, _rope(site, "second", 1, *run)


def _caught(site: Site, anchor: int) -> tuple[Crew, Gear, Rope]:
    """Give the second line of a litter: a slack rope through a device in a hand of its own."""
    crew = site.crew("second-hand", 1, side=-1)
    gear = _clipped("second-device", "lower-raise-device", f"anchor-{anchor + 1}", in_hand=True)
    run = (
        f"tie litter with {KNOT}",
        *site.over(anchor),
        f"through second-device {site.slack(0.3)}",
        "hand second-hand",
    )
    return crew, gear, _rope(site, "second", 1, *run)


def _self_haul(site: Site) -> Rig:
    """Give a climber who has hauled himself up until the grab is within his reach."""
    backup, second = _backed_up(site, "climber")
    run = (
        f"tie anchor-1 with {KNOT}", *site.over(0), "grip handled", "through device", "through above",
        "hand climber",
    )  # fmt: skip
    return _rig(
        site, "Self-haul", "The climber pulls on the rope that comes down from the grab above.", 2, (0, 1),
        [_person(site, "climber", 0.5, WITHIN_REACH)], [],
        [
            Gear("handled", "cam-grab", site.hanging(0.5)),
            _clipped("above", "pulley-single", "handled"),
            _clipped("device", "lower-raise-device", "climber"),
            backup,
        ],
        [_rope(site, "main", 3, *run), second],
        haul=Motion("climber", site.round(0.3 * WITHIN_REACH)),
    )  # fmt: skip


def _clamps(site: Site) -> Rig:
    """Give a climber who rests on the chest clamp, the handled clamp and its foot loop above him."""
    backup, second = _backed_up(site, "climber")
    main = (f"tie anchor-1 with {KNOT}", *site.over(0), "grip upper", "grip chest", "tail")
    loop = (f"tie upper with {KNOT}", f"tie climber with {KNOT}")
    foot = Rope("foot", "foot-loop", 2.5, tuple(map(read_contact, loop)))
    return _rig(
        site, "Ascent on two clamps", "The climber rests on the chest clamp, the foot loop on the other.",
        2, (0, 1), [_person(site, "climber", 0.5, WITHIN_REACH)], [],
        [
            Gear("upper", "handled-clamp", site.hanging(0.5)),
            _clipped("chest", "chest-clamp", "climber"),
            backup,
        ],
        [_rope(site, "main", 1, *main), foot, second],
    )  # fmt: skip


def _haul(site: Site, ratio: int, gear: list[Gear], run: list[str], strands: int, second: int) -> Rig:
    """Give a crew haul; `second` numbers the anchor of the second line, behind those of the main line."""
    newtons = site.mass.likely * STANDARD_GRAVITY
    people = site.answers.people or max(1, math.ceil(newtons / (ratio * LOSS * SUSTAINED)))
    crew, catch, second_rope = _caught(site, second)
    crew_line = [site.crew("haulers", people), crew]
    main = _rope(site, "main", strands, *run, "hand haulers")
    return _rig(
        site, f"Haul {ratio}:1", "A crew hauls the litter; a second line catches.",
        second + 1, (0, second), [_litter(site, 0.1)], crew_line, [*gear, catch], [main, second_rope],
        haul=Motion("litter", site.round(0.3 * site.top)),
    )  # fmt: skip


def _turned(site: Site, anchor: int) -> tuple[list[Gear], list[str]]:
    """Give the pulley that turns the rope towards the crew; behind an edge the rope runs there by itself."""
    if site.has_edge:
        return [], []
    return [_clipped("change", "pulley-single", f"anchor-{anchor + 1}")], ["through change"]


def _haul_2(site: Site) -> Rig:
    gear = [
        _clipped("traveller", "pulley-single", "litter"),
        _clipped("device", "lower-raise-device", "anchor-2"),
    ]
    run = [f"tie anchor-1 with {KNOT}", *site.over(0), "through traveller", *site.over(1), "through device"]
    made = _haul(site, 2, gear, run, 2, 2)
    return replace(made, points=site.places(3, (0, 1, 2)))


def _haul_3(site: Site) -> Rig:
    change, turn = _turned(site, 1)
    gear = [
        _clipped("device", "lower-raise-device", "anchor-1"),
        Gear("grab", "cam-grab", site.running(0.4)),
        _clipped("traveller", "pulley-single", "grab"),
        *change,
    ]
    run = [
        f"tie litter with {KNOT}",
        *site.over(0),
        "grip grab",
        "through device",
        "through traveller",
        *turn,
    ]
    return _haul(site, 3, gear, run, 3, 1 + len(change))


def _haul_5(site: Site) -> Rig:
    change, turn = _turned(site, 2)
    gear = [
        _clipped("device", "lower-raise-device", "anchor-1"),
        Gear("grab", "cam-grab", site.running(0.4)),
        _clipped("twin", "pulley-double", "grab"),
        _clipped("top", "pulley-single", "anchor-2"),
        *change,
    ]
    run = [
        f"tie litter with {KNOT}", *site.over(0), "grip grab", "through device", "through twin.1",
        "through top", "through twin.2", *turn,
    ]  # fmt: skip
    return _haul(site, 5, gear, run, 5, 2 + len(change))


def _haul_9(site: Site) -> Rig:
    change, turn = _turned(site, 2)
    gear = [
        _clipped("device", "lower-raise-device", "anchor-1"),
        Gear("grab-1", "cam-grab", site.running(0.2)),
        _clipped("first", "pulley-single", "grab-1"),
        Gear("grab-2", "cam-grab", site.running(0.4, 1)),
        _clipped("second-pulley", "pulley-single", "grab-2"),
        _clipped("top", "pulley-single", "anchor-2"),
        *change,
    ]
    run = [
        f"tie litter with {KNOT}", *site.over(0), "grip grab-1", "through device", "through first",
        "grip grab-2", "through top", "through second-pulley", *turn,
    ]  # fmt: skip
    return _haul(site, 9, gear, run, 5, 2 + len(change))


def _lowered(site: Site, title: str, about: str, slack: str) -> Rig:
    crews = [site.crew("main-hand", 1), site.crew("second-hand", 1, side=-1)]
    gear = [
        _clipped("main-device", "lower-raise-device", "anchor-1", in_hand=True),
        _clipped("second-device", "lower-raise-device", "anchor-2", in_hand=True),
    ]
    start = f"tie litter with {KNOT}"
    ropes = [
        _rope(site, "main", 1, start, *site.over(0), "through main-device", "hand main-hand"),
        _rope(site, "second", 1, start, *site.over(1), f"through second-device{slack}", "hand second-hand"),
    ]
    down = Motion("litter", site.round(0.6 * site.top))
    return _rig(site, title, about, 2, (0, 1), [_litter(site, 0.75)], crews, gear, ropes, lower=down)


def _main_and_second(site: Site) -> Rig:
    about = "One rope carries, the other follows slack and catches."
    return _lowered(site, "Main line with a slack second line", about, f" {site.slack(0.4)}")


def _two_tensioned(site: Site) -> Rig:
    return _lowered(site, "Two tensioned lines", "Both ropes carry; either can take all.", "")


def _lower(site: Site) -> Rig:
    gear = [_clipped("device", "lower-raise-device", "anchor-1", in_hand=True)]
    run = (f"tie weight with {KNOT}", *site.over(0), "through device", "hand brake-hand")
    return _rig(
        site, "Lower", "One rope, one device, one brake hand, and a weight to train with.",
        1, (0,), [Load("weight", "object", site.mass, site.hanging(0.75))],
        [site.crew("brake-hand", 1)], gear, [_rope(site, "main", 1, *run)],
        lower=Motion("weight", site.round(0.6 * site.top)),
    )  # fmt: skip


def _descent(site: Site) -> Rig:
    backup, second = _backed_up(site, "rescuer")
    run = (f"tie anchor-1 with {KNOT}", *site.over(0), "through descender", "hand rescuer")
    gear = [_clipped("descender", "descender-self-braking", "rescuer", in_hand=True), backup]
    return _rig(
        site, "Descent", "The rescuer goes down on a self-braking device with a back-up on a second rope.",
        2, (0, 1), [_person(site, "rescuer", 0.7)], [], gear, [_rope(site, "main", 1, *run), second],
        lower=Motion("rescuer", site.round(0.5 * site.top)),
    )  # fmt: skip


def _anchor_legs(site: Site) -> Rig:
    """Give a master point on two or three legs, a quarter turn wide, with a weight below."""
    count, spread, drop = site.answers.legs, 2.0, 2.0
    angles = [2 * math.pi * number / count for number in range(count)]
    places = [
        Place(
            f"anchor-{number + 1}", "anchor",
            site.at(spread * math.cos(angle), site.top, spread * math.sin(angle)), site.answers.strength,
        )
        for number, angle in enumerate(angles)
    ]  # fmt: skip
    legs = [
        _rope(
            site, f"leg-{number + 1}", 0, f"tie anchor-{number + 1} with bowline", f"tie master with {KNOT}"
        )
        for number in range(count)
    ]
    main = _rope(site, "main", 1, f"tie master with {KNOT}", f"tie weight with {KNOT}")
    made = _rig(
        site, f"Anchor on {count} legs", "The legs share what hangs on the master point, by their angles.",
        0, (), [Load("weight", "object", site.mass, site.hanging(0.2))], [],
        [Gear("master", "plate", site.at(0.0, site.top - drop))], [*legs, main],
    )  # fmt: skip
    return replace(made, points={place.name: place for place in places} | dict(made.points))


STARTERS: dict[StarterKind, Callable[[Site], Rig]] = {
    "self-haul": _self_haul,
    "ascent-clamps": _clamps,
    "haul-2-1": _haul_2,
    "haul-3-1": _haul_3,
    "haul-5-1": _haul_5,
    "haul-9-1": _haul_9,
    "lower": _lower,
    "descent": _descent,
    "main-and-second": _main_and_second,
    "two-tensioned": _two_tensioned,
    "anchor-legs": _anchor_legs,
}
