"""Who stays up at a moment of a procedure, told once more, slowly and by brute force.

Nothing here asks the procedure's rules or the chains: each single thing is taken away in turn, and every
hand, and the independent oracle of the rigs (`tests.judgement.oracle`) is asked who then can fall, by a
linear programme over motions without end, and where everybody comes to rest, by letting the rig go and
stepping through time. What counts for nothing, and what stands, is read here by rules of its own.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass, field, replace

from ropewright.catalogue import Catalogue
from ropewright.judgement.components import Component
from ropewright.procedure.moment import Moment
from ropewright.rig import Place, Rig
from tests.judgement.oracle import Came, can_fall, help_by_friction, read

from .together import Case, watched_together

LONGEST = 60.0  # s of letting a rig hang before it is called unsure
STILL = 5e-3  # m/s: what is slower has 20 mm to go at most, where it swings on a rope of 12 m
ENDLESS = "a motion without end"
PEOPLE = ("person", "litter")


@dataclass(frozen=True)
class Drop:
    """Somebody who does not stay up: who, after what, and how that is known."""

    load: str
    after: str
    how: str

    def __str__(self) -> str:
        return f"{self.load} with {self.after}: {self.how}"


@dataclass
class Judged:
    """A moment as judged: who hangs, who falls as it is, with one thing gone, with every hand off."""

    hang: tuple[str, ...]
    at_once: list[Drop] = field(default_factory=list)
    one_gone: list[Drop] = field(default_factory=list)
    hands_off: list[Drop] = field(default_factory=list)
    unsure: list[Drop] = field(default_factory=list)
    rubs: list[Drop] = field(default_factory=list)  # stays up with friction, and only with it
    questions: int = 0

    def drops(self) -> list[Drop]:
        """Everything that drops somebody."""
        return [*self.at_once, *self.one_gone, *self.hands_off]


class Oracle:
    """Judges moments; remembers what it said of the same connection and of the same moment."""

    def __init__(self, catalogue: Catalogue, grip: Mapping[str, float]) -> None:
        self.catalogue, self.grip = catalogue, grip
        self.said: dict[Hashable, Judged] = {}
        self._falls: dict[Hashable, dict[str, bool]] = {}

    def judged(self, moment: Moment, settles: bool = True) -> Judged:
        """Everybody who hangs, with each thing gone in turn and with every hand off.

        ``settles``: where no motion without end is found, let the rig go and see where it comes to rest.
        """
        return self.judged_all([moment], settles)[0]

    def judged_all(self, moments: Sequence[Moment], settles: bool = True) -> list[Judged]:
        """Each of some moments, all that has to be let go being let go together."""
        keys = [(moment.connection, moment.place, settles) for moment in moments]
        put = {k: self._put(m) for k, m in zip(keys, moments, strict=True) if k not in self.said}
        if settles:
            self._let_go([asked for questions in put.values() for asked in questions.asked.values()])
        for key, questions in put.items():
            self.said[key] = questions.answer()
        return [self.said[key] for key in keys]

    def _put(self, moment: Moment) -> _Questions:
        rig = standing_fixed(moment)
        nothing = tuple(counts_for_nothing(moment, self.catalogue))
        hang = tuple(x.name for x in rig.loads.values() if x.kind in PEOPLE)
        out = _Questions(hang)
        if not hang:
            return out
        cases: list[tuple[str, tuple[Component, ...], bool, str]] = [
            ("nothing gone", (), True, "at_once"),
            ("every hand off", (), False, "hands_off"),
        ]
        cases += [(part.label, (part,), True, "one_gone") for part in single_things(rig)]
        for label, gone, hands, where in cases:
            away = (*nothing, *gone, *left_open(moment, gone))
            picture = read(rig, self.catalogue, away, hands)
            same = repr((picture.cluster, picture.fast, picture.runs))
            out.told.append((same, label, where))
            if same not in out.asked:
                case = Case(rig, picture, moment.state, self.grip if hands else {})
                out.asked[same] = _Asked(case, self._endless(rig, moment, away, hands))
                gives = tuple(gives_way(moment)) if hands else ()
                if gives:
                    closed = read(rig, self.catalogue, (*away, *gives), hands)
                    out.asked[same].overpowered = replace(case, picture=closed)
        return out

    def _endless(self, rig: Rig, moment: Moment, away: tuple[Component, ...], hands: bool) -> dict[str, str]:
        """The loads that can sink without end."""
        key = (moment.connection, frozenset(c.key for c in away), hands)
        if key not in self._falls:
            self._falls[key] = can_fall(rig, self.catalogue, away, hands)
        return {name: ENDLESS for name, falls in self._falls[key].items() if falls}

    def _let_go(self, asked: list[_Asked]) -> None:
        """Let the rig go in every way in which somebody might stay up, and see where they come to rest."""
        left = [a for a in asked if any(name not in a.how for name in a.case.rig.loads)]
        for longest in (LONGEST, 4 * LONGEST):
            came = watched_together([a.case for a in left], self.catalogue, longest, STILL)
            for one, became in zip(left, came, strict=True):
                one.settled(became)
            left = [a for a in left if any(how.startswith("unsure") for how in a.how.values())]
        self._hands_open([a for a in asked if a.overpowered is not None and a.how])
        self._rubbing([a for a in asked if any(how != ENDLESS for how in a.how.values())])

    def _hands_open(self, asked: list[_Asked]) -> None:
        """Who tends both a rope and the device on it and is asked for more than a hand can hold lets go of
        both, and the device closes: where somebody came down with those hands on, they come off.
        """
        cases = [a.overpowered for a in asked if a.overpowered is not None]
        came = watched_together(cases, self.catalogue, LONGEST, STILL)
        for one, became in zip(asked, came, strict=True):
            one.how.update({name: "unsure" for name, how in one.how.items() if how != ENDLESS})
            one.settled(became)

    def _rubbing(self, asked: list[_Asked]) -> None:
        """Whoever comes down only because ropes run without friction here: with all that there could be,
        grips and hands hold. The prover counts it at its least, so it may hold what is let run here.
        """
        cases = []
        for one in asked:
            picture = deepcopy(one.case.picture)
            help_by_friction(picture)
            cases.append(replace(one.case, picture=picture))
        came = watched_together(cases, self.catalogue, LONGEST, STILL)
        for one, became in zip(asked, came, strict=True):
            rubbing = _Asked(one.case, dict.fromkeys(one.how, "unsure"))
            rubbing.settled(became)
            for name, how in list(one.how.items()):
                if how != ENDLESS and name not in rubbing.how:
                    one.rubs[name] = one.how.pop(name)


@dataclass
class _Asked:
    """One thing asked of a moment: the rig as read, and how each load comes down that does."""

    case: Case
    how: dict[str, str]
    overpowered: Case | None = None
    rubs: dict[str, str] = field(default_factory=dict)

    def settled(self, became: Mapping[str, Came]) -> None:
        """Take in what became of the loads that don't come down by a motion without end."""
        for name, came in became.items():
            if not self.how.get(name, "unsure").startswith("unsure"):
                continue
            self.how.pop(name, None)
            ground = ground_under(self.case.rig, float(self.case.state.at[name][2]))
            if came.answer == "falls":
                self.how[name] = "falls when it is let go"
            elif came.answer == "unsure":
                self.how[name] = "unsure: it does not come to rest"
            elif ground is not None and came.height + came.stretch < ground - 0.05:
                # ropes are softer here than any rope: what they stretch is no fall to the ground
                under = ground - came.height - came.stretch
                self.how[name] = f"lies {under:.2f} m below the ground"


@dataclass
class _Questions:
    """All that is asked of a moment; ``told``: which question answers for what, and where that is put."""

    hang: tuple[str, ...]
    asked: dict[str, _Asked] = field(default_factory=dict)
    told: list[tuple[str, str, str]] = field(default_factory=list)

    def answer(self) -> Judged:
        """What came of it."""
        out = Judged(self.hang, questions=len(self.asked))
        for same, label, where in self.told:
            for load in self.hang:
                how = self.asked[same].how.get(load)
                if how is not None:
                    drops = out.unsure if how.startswith("unsure") else getattr(out, where)
                    drops.append(Drop(load, label, how))
                elif load in self.asked[same].rubs:
                    out.rubs.append(Drop(load, label, self.asked[same].rubs[load]))
        return out


def standing_fixed(moment: Moment) -> Rig:
    """The rig with each load that stands turned into a place that does not move."""
    rig = moment.rig
    stands = {name for name, _ in moment.stands}
    points = {
        name: Place(name, "stand", tuple(float(v) for v in moment.state.at[name]))  # type: ignore[arg-type]
        for name in stands
    }
    return replace(
        rig,
        points={**rig.points, **points},
        loads={name: load for name, load in rig.loads.items() if name not in stands},
    )


def counts_for_nothing(moment: Moment, catalogue: Catalogue) -> Iterator[Component]:
    """Gates that are not locked, and gear and ropes that are not made to hold people."""
    for item in moment.rig.gear.values():
        if item.name in moment.unlocked and isinstance(item.at, str):
            yield Component("join", item.name, 1)
        if not catalogue[item.type].holding.life_support:
            yield Component("gear", item.name)
    for rope in moment.rig.ropes.values():
        if not catalogue[rope.type].holding.life_support:
            yield Component("rope", rope.name)


def left_open(moment: Moment, gone: tuple[Component, ...]) -> Iterator[Component]:
    """Devices that somebody holds open while another's hand is the one that has gone from their rope.

    That rope runs through; another on the same device has its own hand, so the way of this rope alone goes.
    """
    for part in gone:
        if part.kind != "hand":
            continue
        run = moment.rig.ropes[part.part].run
        who = run[part.index].target
        for contact in run:
            others = any(gear == contact.target and holder != who for gear, holder in moment.holds)
            if contact.verb == "through" and others:
                yield Component("sheave", contact.target or "", contact.sheave)


def gives_way(moment: Moment) -> Iterator[Component]:
    """Hands on ropes on which everything that is held open is held by the same person."""
    for rope in moment.rig.ropes.values():
        met = {c.target for c in rope.run if c.verb == "through"}
        holders = {who for gear, who in moment.holds if gear in met}
        if rope.run[-1].verb == "hand" and holders == {rope.run[-1].target}:
            yield Component("hand", rope.name, len(rope.run) - 1)


def single_things(rig: Rig) -> Iterator[Component]:
    """Each single thing that can fail."""
    met = {c.target for rope in rig.ropes.values() for c in rope.run if c.verb not in ("over", "hand")}
    met |= {item.at for item in rig.gear.values() if isinstance(item.at, str)}
    for point in rig.points:
        if point in met:
            yield Component("anchor", point, 0, f"anchor {point} gone")
    for item in rig.gear.values():
        yield Component("gear", item.name, 0, f"{item.name} gone")
        if isinstance(item.at, str):
            yield from (
                Component("join", item.name, k, f"join {k} of {item.name} gone")
                for k in range(1, max(1, len(item.via)) + 1)
            )
    for rope in rig.ropes.values():
        yield Component("rope", rope.name, 0, f"rope {rope.name} gone")
        for k, contact in enumerate(rope.run):
            if contact.verb == "tie":
                yield Component("tie", rope.name, k, f"knot {k} of {rope.name} gone")
            elif contact.verb == "hand":
                yield Component("hand", rope.name, k, f"hand off {rope.name} alone")
            elif contact.verb == "through" and contact.target in rig.gear:
                label = f"sheave {contact.sheave} of {contact.target} gone"
                yield Component("sheave", contact.target or "", contact.sheave, label)


def ground_under(rig: Rig, height: float) -> float | None:
    """How high the ground is under something at ``height`` [m], None where none is drawn.

    Decks beside somebody are not under them, so only the ground itself counts.
    """
    levels = [p.at[2] for p in rig.points.values() if p.kind == "ground" and p.at[2] <= height + 1e-6]
    return max(levels, default=None)
