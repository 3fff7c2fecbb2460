"""Random procedures, always the same for a name: shipped ones with mistakes in them, and random walks.

A walk takes steps from FORMS with names of the rig and the kit, and mostly those that can be done; it starts
from a shipped procedure or from one of the example rigs, with gear of every kind at hand.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

from ropewright.catalogue import Catalogue, load_catalogue
from ropewright.procedure.acts import CannotError, do
from ropewright.procedure.forms import FORMS, Form, StepError, read_step
from ropewright.procedure.model import Person, Procedure, Step
from ropewright.procedure.moment import Moment
from ropewright.procedure.reader import read_procedure
from ropewright.procedure.world import World, beginning
from ropewright.rig import Crew, Gear, Rope, read_rig

EXAMPLES = Path(__file__).parents[2] / "examples"
SHIPPED = sorted((EXAMPLES / "procedures").glob("*.procedure.yaml"))
RIGS = sorted(EXAMPLES.glob("*.rig.yaml"))
LONGEST = 14  # steps of a walk
TRIES = 12  # steps thought of before one is taken that can't be done
Lines = list[tuple[str, str]]


@dataclass(frozen=True)
class Made:
    """A random procedure; ``name`` is enough to make it again, ``how`` says what was done to it."""

    name: str
    how: tuple[str, ...]
    procedure: Procedure


@cache
def catalogue() -> Catalogue:
    return load_catalogue()


@cache
def shipped(path: Path) -> Procedure:
    return read_procedure(path, catalogue())


@cache
def people_hang(path: Path) -> bool:
    rig = read_rig(path, catalogue())
    return any(load.kind in ("person", "litter") for load in rig.loads.values())


@cache
def walking_rig(path: Path) -> Procedure:
    """An example rig as a procedure without steps, with a kit and somebody who looks on."""
    rig = read_rig(path, catalogue())
    place = next(iter(rig.points.values()))
    crews = {**rig.crews, "looker": Crew("looker", place.at)}
    kinds = ("descender-self-braking", "bar-rack", "chest-clamp", "running-back-up", "pulley-single")
    kit = {f"spare-{kind}": Gear(f"spare-{kind}", kind, None) for kind in kinds if kind in catalogue()}
    rig = replace(rig, crews=crews)
    names = [x.name for x in rig.loads.values() if x.kind == "person"] + list(crews)
    return Procedure(
        name=rig.title if hasattr(rig, "title") else path.stem,
        about="",
        rig=rig,
        rig_file=path.name,
        people={name: Person(name) for name in names},
        kit=kit,
        spare={"spare-line": Rope("spare-line", "rope-11-low-stretch", 40.0, ())},
        stands={},
        words={},
        steps=(),
    )


def made(seed: str, number: int) -> Made:
    """The random procedure of a number: two thirds are shipped ones with mistakes, the rest are walks."""
    name = f"{seed}#{number}"
    rng = random.Random(name)
    if number % 3 == 2:
        path = rng.choice([p for p in RIGS if people_hang(p)] if number % 2 else SHIPPED)
        base = walking_rig(path) if path in RIGS else shipped(path)
        begun = rng.randrange(len(base.steps) + 1) if base.steps else 0
        return Made(name, (f"walk from step {begun} of {path.name}",), _walk(base, begun, rng))
    path = rng.choice(SHIPPED)
    base = shipped(path)
    lines: Lines = [(step.doer, step.text) for step in base.steps]
    how = [path.name]
    for change in rng.choices(CHANGES, k=rng.choice((1, 1, 1, 2, 2, 3, 4))):
        changed = change(lines, base, rng)
        how.append(change.__name__)
        if _read(base, changed) is not None:
            lines = changed
    return Made(name, tuple(how), replace(base, steps=_read(base, lines) or base.steps))


def _read(base: Procedure, lines: Lines) -> tuple[Step, ...] | None:
    try:
        return tuple(read_step(doer, text, "metric", line) for line, (doer, text) in enumerate(lines, 1))
    except StepError:
        return None


# --- mistakes


def dropped(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    k = rng.randrange(len(lines))
    return [*lines[:k], *lines[k + 1 :]]


def swapped(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    a, b = rng.randrange(len(lines)), rng.randrange(len(lines))
    out = list(lines)
    out[a], out[b] = out[b], out[a]
    return out


def doubled(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    return _into(lines, rng, rng.choice(lines))


def turned_round(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    return _some(lines, rng, r"^put ", lambda text: f"{text} wrong way round")


def other_name(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    """Another rope, piece of gear or place than the one that is meant."""
    kinds = (
        [*base.rig.gear, *base.kit],
        [*base.rig.ropes, *base.spare],
        [*base.rig.points, *base.rig.loads, *base.rig.gear],
    )
    k = rng.randrange(len(lines))
    doer, text = lines[k]
    words = [w for w in re.findall(r"[\w-]+", text)[1:] if any(w in kind for kind in kinds)]
    if not words:
        return lines
    word = rng.choice(words)
    other = rng.choice(next(kind for kind in kinds if word in kind))
    return [*lines[:k], (doer, re.sub(rf"(?<![\w-]){word}(?![\w-])", other, text, count=1)), *lines[k + 1 :]]


def left_unlocked(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    return _some(lines, rng, r"and lock$|^lock ", lambda text: text.removesuffix(" and lock"))


def other_length(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    def change(text: str) -> str:
        length = rng.choice(("20 mm", "0.3 m", "1 m", "3 m", "12 m"))
        return re.sub(r"[0-9.]+ ?(?:mm|m)\b", length, text, count=1)

    return _some(lines, rng, r"[0-9] ?m", change)


def hands_off(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    hands = [(doer, f"hand off {text[8:]}") for doer, text in lines if text.startswith("hand on ")]
    return _into(lines, rng, rng.choice(hands)) if hands else lines


def other_doer(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    k = rng.randrange(len(lines))
    return [*lines[:k], (rng.choice(list(base.people)), lines[k][1]), *lines[k + 1 :]]


def put_in(lines: Lines, base: Procedure, rng: random.Random) -> Lines:
    return _into(lines, rng, (rng.choice(list(base.people)), written(rng.choice(FORMS), base, rng)))


def _into(lines: Lines, rng: random.Random, line: tuple[str, str]) -> Lines:
    k = rng.randrange(len(lines) + 1)
    return [*lines[:k], line, *lines[k:]]


def _some(lines: Lines, rng: random.Random, pattern: str, change: Callable[[str], str]) -> Lines:
    found = [k for k, (_, text) in enumerate(lines) if re.search(pattern, text)]
    if not found:
        return lines
    k = rng.choice(found)
    return [*lines[:k], (lines[k][0], change(lines[k][1])), *lines[k + 1 :]]


CHANGES = (
    dropped, dropped, swapped, swapped, doubled, turned_round, other_name, other_name, left_unlocked,
    other_length, hands_off, other_doer, put_in, put_in, put_in,
)  # fmt: skip


# --- walks


def written(form: Form, base: Procedure, rng: random.Random) -> str:
    """A line of a form with names of the rig and the kit."""
    gear = [*base.rig.gear, *base.kit] or ["nothing"]
    ropes = [*base.rig.ropes, *base.spare]
    places = [*base.rig.points, *base.rig.loads, *gear]
    joins = ["carabiner-locking", "lanyard", "screw-link"]
    words: dict[str, Callable[[], str]] = {
        "GEAR.N": lambda: rng.choice(gear) + rng.choice(("", ".1", ".2")),
        "GEAR": lambda: rng.choice(gear),
        "ROPE": lambda: rng.choice(ropes),
        "PART": lambda: rng.choice(places),
        "BESIDE": lambda: rng.choice(places),
        "LOAD": lambda: rng.choice(list(base.rig.loads)),
        "TYPES": lambda: rng.choice([j for j in joins if j in catalogue()]),
        "NAMES": lambda: rng.choice(gear),
        "KNOT": lambda: "figure-eight-bight",
        "LENGTH": lambda: f"{rng.choice((0.05, 0.2, 0.5, 1.5, 6))} m",
        "SLACK": lambda: f"{rng.choice((0.0, 0.05, 0.3, 2, 8))} m",
        "PLACE": lambda: f"[{rng.uniform(-3, 3):.1f}, {rng.uniform(1, 9):.1f}]",
        "SIDE": lambda: rng.choice(("above", "below")),
        "UPDOWN": lambda: rng.choice(("up", "down")),
        "WORD": lambda: "ready",
    }
    line = re.sub(r" ?\[[^\]]*\]", lambda m: _maybe(m[0], rng), form.line)
    pattern = "|".join(sorted(map(re.escape, words), key=len, reverse=True))
    return " ".join(re.sub(rf"\b(?:{pattern})\b", lambda m: words[m[0]](), line).split())


def _maybe(bracket: str, rng: random.Random) -> str:
    return bracket.replace("[", "").replace("]", "") if rng.random() < 0.5 else ""


def _walk(base: Procedure, begun: int, rng: random.Random) -> Procedure:
    """Steps one after the other, most of them such as can be done as things stand."""
    world = World(base, catalogue())
    steps: list[Step] = []
    moment = beginning(world)
    for step in base.steps[:begun]:
        moment = _after(world, step, moment) or moment
        steps.append(step)
    forms = [form for form in FORMS if not form.verb.endswith("test") and form.verb not in ("call", "check")]
    for _ in range(LONGEST):
        for _ in range(TRIES):
            doer = rng.choice(list(base.people))
            try:
                step = read_step(doer, written(rng.choice(forms), base, rng), "metric", len(steps) + 1)
            except StepError:
                continue
            after = _after(world, step, moment)
            if after is not None or rng.random() < 0.05:
                moment = after or moment
                steps.append(step)
                break
    return replace(base, steps=tuple(replace(s, line=n) for n, s in enumerate(steps, 1)))


def _after(world: World, step: Step, moment: Moment) -> Moment | None:
    try:
        return world.hang(do(step, moment, world).after).moment
    except CannotError:
        return None
