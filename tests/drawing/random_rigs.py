"""Random rigs as the texts that people would write: every kind of thing, well placed and badly."""

from __future__ import annotations

import random

from ropewright.catalogue import load_catalogue
from ropewright.rig import RigFileError, read_rig

KINDS = ("haul", "self-haul", "legs", "edge", "lower", "long", "space", "crowded", "many", "wild")
GRABS = ("cam-grab", "handled-clamp", "hitch-3-wrap", "hitch-tandem")
DEVICES = ("lower-raise-device", "descender-self-braking", "bar-rack", "figure-eight")


class _Text:
    """A rig file that grows section by section."""

    def __init__(self, title: str) -> None:
        self.title = title
        self.sections: dict[str, list[str]] = {
            "points": [],
            "loads": [],
            "crews": [],
            "gear": [],
            "ropes": [],
        }
        self.last = ""

    def add(self, section: str, name: str, body: str) -> str:
        self.sections[section].append(f"  {name}: {{{body}}}")
        return name

    def rope(self, name: str, run: list[str], kind: str = "rope-12.5-low-stretch") -> None:
        lines = [f"  {name}:", f"    is: {kind}", "    length: 200", "    run:"]
        self.sections["ropes"] += [*lines, *(f"      - {step}" for step in run)]

    def __str__(self) -> str:
        out = [f"rig: {self.title}"]
        for section, lines in self.sections.items():
            if lines:
                out += [f"{section}:", *lines]
        return "\n".join([*out, self.last, ""])


def rig_text(seed: int) -> str:
    """The rig file of one seed; the kinds take turns."""
    kind = KINDS[seed % len(KINDS)]
    if kind == "wild":
        return _readable(seed)
    rng = random.Random(seed)
    text = _Text(f"Random {kind} {seed}")
    {
        "haul": _haul,
        "self-haul": _self_haul,
        "legs": _legs,
        "edge": _edge,
        "lower": _lower,
        "long": _long,
        "space": _space,
        "crowded": _crowded,
        "many": _many,
    }[kind](text, rng)
    return str(text)


def _readable(seed: int) -> str:
    """The first of a row of wild rigs that the reader lets through."""
    for attempt in range(2000):
        text = _Text(f"Random wild {seed}")
        _wild(text, random.Random(seed * 10_000 + attempt))
        try:
            read_rig(str(text), load_catalogue())
        except RigFileError:
            continue
        return str(text)
    raise AssertionError(f"no wild rig of seed {seed} could be read")


def _at(*values: float) -> str:
    return f"at: [{', '.join(f'{v:.3g}' for v in values)}]"


def _haul(text: _Text, rng: random.Random) -> None:
    """A haul with one to three moving sheaves, straight down or turned to a crew on the deck."""
    top, near = rng.uniform(5, 30), rng.uniform(0.1, 0.6)
    text.add("points", "beam", f"kind: anchor, {_at(0, top)}, strength: 36 kN")
    text.add("loads", "weight", f"kind: object, mass: {rng.randint(50, 250)}, {_at(0, 1)}")
    text.add("gear", "device", "is: lower-raise-device, at: beam")
    text.add("gear", "grab", f"is: {rng.choice(GRABS)}, {_at(0, top * rng.uniform(0.3, 0.7))}")
    run = ["tie weight with figure-eight-bight", "grip grab", "through device"]
    sheaves = rng.randint(1, 3)
    for k in range(sheaves):
        text.add("gear", f"low-{k}", "is: pulley-single, at: grab")
        run.append(f"through low-{k}")
        if k < sheaves - 1:
            text.add("points", f"frame-{k}", f"kind: anchor, {_at((k + 1) * near, top)}")
            text.add("gear", f"top-{k}", f"is: pulley-single, at: frame-{k}")
            run.append(f"through top-{k}")
    side = rng.choice((-1, 1))
    text.add("points", "bar", f"kind: anchor, {_at((sheaves + 1) * near, top)}")
    text.add("gear", "change", "is: pulley-single, at: bar")
    text.add("crews", "haulers", f"{_at(side * rng.uniform(3, 12), top - rng.uniform(-1, 2))}, people: 3")
    text.rope("main", [*run, "through change", "hand haulers"])
    text.last = "haul: {load: weight, up: 1}"


def _self_haul(text: _Text, rng: random.Random) -> None:
    top, sheaves = rng.uniform(6, 40), rng.choice((1, 2))
    side = rng.choice((-1, 1))
    text.add("points", "beam", f"kind: anchor, {_at(0, top)}")
    text.add("points", "post", f"kind: anchor, {_at(side * rng.uniform(0.2, 2), top)}")
    text.add("points", "floor", f"kind: ground, {_at(0, 0)}")
    text.add("loads", "climber", f"kind: person, mass: {rng.randint(60, 140)}, {_at(0, 1)}, wears: harness")
    text.add("gear", "handled", f"is: {rng.choice(GRABS)}, {_at(0, rng.uniform(2.5, 4.5))}")
    block = "pulley-single" if sheaves == 1 else "pulley-double"
    text.add("gear", "above", f"is: {block}, at: handled")
    text.add("gear", "device", f"is: {rng.choice(DEVICES[:2])}, at: climber")
    text.add("gear", "backup", "is: running-back-up, at: climber, via: [carabiner-locking, lanyard]")
    run = ["tie beam with figure-eight-bight", "grip handled", "through device", "through above"]
    if sheaves == 2:
        text.add("gear", "below", "is: pulley-single, at: climber")
        run += ["through below", "through above.2"]
    if rng.random() < 0.4:
        text.add("crews", "haulers", f"{_at(side * rng.uniform(0.5, 4), 0.6)}, people: 2")
        run.append("hand haulers")
    else:
        run.append("hand climber")
    text.rope("main", run)
    text.rope("second", ["tie post with bowline", "grip backup slack 0.3", "tail"])
    text.last = "haul: {load: climber, up: 0.5}"


def _legs(text: _Text, rng: random.Random) -> None:
    text.add("gear", "master", f"is: plate, {_at(0, 0, 8)}")
    text.add("loads", "weight", f"kind: pack, mass: 80, {_at(0, 0, rng.uniform(1, 6))}")
    flat = rng.random() < 0.5
    for k in range(rng.randint(2, 4)):
        where = _at(rng.uniform(-4, 4), 0 if flat else rng.uniform(-3, 3), rng.uniform(9, 13))
        text.add("points", f"ring-{k}", f"kind: anchor, {where}")
        text.rope(f"leg-{k}", [f"tie ring-{k} with bowline", "tie master with butterfly"], "rope-11-dynamic")
    text.rope("main", ["tie master with figure-eight-bight", "tie weight with bowline"])


def _edge(text: _Text, rng: random.Random) -> None:
    back, rise = rng.uniform(3, 15), rng.uniform(-0.5, 1.5)
    text.add(
        "points", "lip", f"kind: edge, {_at(0, 10)}, surface: {rng.choice(('concrete', 'rock', 'steel'))}"
    )
    if rng.random() < 0.6:
        text.sections["points"][-1] = text.sections["points"][-1][:-1] + ", protection: roller}"
    text.add("points", "ring", f"kind: anchor, {_at(back, 10 + rise)}")
    text.add("points", "roof", f"kind: stand, {_at(back + 2, 9.5)}")
    kind = rng.choice(("litter", "person", "object"))
    text.add("loads", "load", f"kind: {kind}, mass: 120, {_at(rng.uniform(-1, 0), rng.uniform(2, 8))}")
    text.add("gear", "device", f"is: {rng.choice(DEVICES)}, at: ring, state: in-hand")
    text.add("crews", "hand", f"{_at(back + rng.uniform(-2, 4), 10 + rise + rng.uniform(-1, 1))}, people: 1")
    text.rope("main", ["tie load with figure-eight-bight", "over lip", "through device", "hand hand"])
    text.last = "lower: {load: load, down: 1}"


def _lower(text: _Text, rng: random.Random) -> None:
    text.add("loads", "litter", f"kind: litter, mass: 180, {_at(0, 8)}, wears: litter-basket")
    for k, name in enumerate(("main", "second", "third")[: rng.randint(1, 3)]):
        x = (k - 0.5) * rng.uniform(0.3, 2)
        text.add("points", f"{name}-ring", f"kind: anchor, {_at(x, 14)}")
        text.add("gear", f"{name}-device", f"is: {rng.choice(DEVICES)}, at: {name}-ring, state: in-hand")
        text.add("crews", f"{name}-hand", f"{_at(x + rng.choice((-3, 3)), rng.uniform(13, 14.5))}, people: 1")
        slack = f" slack {rng.choice((0.2, 0.5))}" if k else ""
        run = ["tie litter with figure-eight-bight", f"through {name}-device{slack}", f"hand {name}-hand"]
        text.rope(name, run)
    text.last = "lower: {load: litter, down: 2}"


def _long(text: _Text, rng: random.Random) -> None:
    """A track line, or a haul of up to 200 m with a metre of reeving at its end."""
    span = rng.uniform(40, 200)
    if rng.random() < 0.5:
        text.add("points", "west", f"kind: anchor, {_at(0, 30)}")
        text.add("points", "east", f"kind: anchor, {_at(span, 30 + rng.uniform(-5, 5))}")
        text.add("loads", "weight", f"kind: object, mass: 100, {_at(span / 2, 26)}")
        text.add("gear", "carriage", f"is: pulley-single, {_at(span / 2, 28)}")
        text.rope("track", ["tie west with tensionless", "through carriage", "tie east with tensionless"])
        text.rope("hanger", ["tie carriage with figure-eight-bight", "tie weight with figure-eight-bight"])
        return
    text.add("points", "beam", f"kind: anchor, {_at(0, span)}")
    text.add("loads", "weight", f"kind: object, mass: 100, {_at(0, 1)}")
    text.add("gear", "device", "is: lower-raise-device, at: beam")
    text.add("gear", "grab", f"is: cam-grab, {_at(0, span - 2)}")
    text.add("gear", "low", "is: pulley-single, at: grab")
    text.add("crews", "haulers", f"{_at(4, span)}, people: 3")
    run = ["tie weight with figure-eight-bight", "grip grab", "through device", "through low", "hand haulers"]
    text.rope("main", run)
    text.last = "haul: {load: weight, up: 1}"


def _space(text: _Text, rng: random.Random) -> None:
    """A redirected lower in three dimensions."""

    def spot() -> str:
        return _at(rng.uniform(-5, 5), rng.uniform(-5, 5), rng.uniform(9, 12))

    for name in ("ring", "tree", "post"):
        text.add("points", name, f"kind: anchor, {spot()}")
    text.add("loads", "rescuer", f"kind: person, mass: 95, {_at(0, 0, 3)}, wears: harness")
    text.add("crews", "crew", f"{spot()}, people: 2")
    text.add("gear", "corner", f"is: {rng.choice(('pulley-single', 'carabiner-locking'))}, at: tree")
    text.add("gear", "device", "is: lower-raise-device, at: ring")
    text.add("gear", "backup", "is: running-back-up, at: rescuer")
    text.rope(
        "main", ["tie rescuer with figure-eight-bight", "through corner", "through device", "hand crew"]
    )
    text.rope("second", ["tie post with bowline", "grip backup", "tail"])


def _crowded(text: _Text, rng: random.Random) -> None:
    """Things at one place, or a hand's breadth from each other."""
    near = rng.choice((0.0, 0.0, 0.02, 0.1))
    for k in range(4):
        text.add("points", f"ring-{k}", f"kind: anchor, {_at(k * near, 0, 10)}")
    text.add("loads", "one", f"kind: person, mass: 90, {_at(0, 4)}")
    text.add("loads", "two", f"kind: pack, mass: 20, {_at(0, 4 - near)}")
    text.add("gear", "twin", "is: pulley-double, at: ring-3")
    text.add("gear", "low", "is: pulley-double, at: one")
    text.rope("a", ["tie ring-0 with bowline", "tie one with bowline"])
    text.rope("b", ["tie ring-1 with bowline", "tie two with bowline"])
    if near:
        text.rope("c", ["tie one with butterfly", "tie two with butterfly slack 0.2"], "cord-8")
    run = [
        "tie ring-2 with bowline",
        "through low",
        "through twin",
        "through low.2",
        "through twin.2",
        "hand one",
    ]
    text.rope("d", run)


def _many(text: _Text, rng: random.Random) -> None:
    """Some sixty components: lanes side by side, each with its own reeving."""
    for lane in range(4):
        x = lane * rng.uniform(1.0, 3.0)
        text.add("points", f"beam-{lane}", f"kind: anchor, {_at(x, 12)}")
        text.add("loads", f"load-{lane}", f"kind: object, mass: {60 + 20 * lane}, {_at(x, 1)}")
        text.add("gear", f"device-{lane}", f"is: lower-raise-device, at: beam-{lane}")
        text.add("gear", f"grab-{lane}", f"is: {rng.choice(GRABS)}, {_at(x, 5)}")
        text.add("gear", f"block-{lane}", f"is: pulley-double, at: grab-{lane}")
        text.add("gear", f"top-{lane}", f"is: pulley-single, at: beam-{lane}")
        text.add("crews", f"crew-{lane}", f"{_at(x + 0.5, 0.5)}, people: 2")
        steps = [f"tie load-{lane} with figure-eight-bight", f"grip grab-{lane}", f"through device-{lane}"]
        steps += [f"through block-{lane}", f"through top-{lane}", f"through block-{lane}.2"]
        text.rope(f"rope-{lane}", [*steps, f"hand crew-{lane}"])


def _wild(text: _Text, rng: random.Random) -> None:
    """Whatever the reader lets through: runs from anything to anything, most without an answer."""
    anchors = [text.add("points", f"ring-{k}", f"kind: anchor, {_wherever(rng)}") for k in range(3)]
    lips = [text.add("points", "lip", f"kind: edge, {_wherever(rng)}, surface: rock")]
    kinds = ("person", "litter", "pack", "object")
    loads = [
        text.add("loads", f"load-{k}", f"kind: {rng.choice(kinds)}, mass: 80, {_wherever(rng)}")
        for k in range(2)
    ]
    crews = [text.add("crews", "crew", f"{_wherever(rng)}, people: 2")]
    grabs = [text.add("gear", "grab", f"is: {rng.choice(GRABS)}, {_wherever(rng)}")]
    clipped = [*anchors, *loads, *grabs]
    blocks = [
        text.add("gear", f"block-{k}", f"is: pulley-double, at: {rng.choice(clipped)}") for k in range(3)
    ]
    devices = [
        text.add("gear", f"device-{k}", f"is: {rng.choice(DEVICES)}, at: {rng.choice(clipped)}")
        for k in range(2)
    ]
    for k in range(rng.randint(1, 3)):
        passing = [f"through {b}.{n}" for b in blocks for n in (1, 2)]
        passing += [f"through {d}" for d in devices] + [f"over {lips[0]}"] + [f"grip {g}" for g in grabs]
        steps = rng.sample(passing, rng.randint(1, 5))
        ends = [f"tie {t} with bowline" for t in (*anchors, *loads)] + ["tail", f"hand {crews[0]}"]
        ends += [
            f"hand {name}" for name in loads if f"{name}: {{kind: person" in "\n".join(text.sections["loads"])
        ]
        text.rope(
            f"rope-{k}", [f"tie {rng.choice((*anchors, *loads))} with bowline", *steps, rng.choice(ends)]
        )


def _wherever(rng: random.Random) -> str:
    return _at(rng.uniform(-6, 6), rng.choice((0, 0, rng.uniform(-4, 4))), rng.uniform(0, 12))
