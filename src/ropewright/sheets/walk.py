"""The pre-load check of one rig: every connection from each anchor to the load, then the trade's tests."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from ropewright.judgement.components import joins_of
from ropewright.judgement.rules import Context
from ropewright.rig import Contact, Gear, Place, Rope, hangs_on

from .ends import loose_end, spare_row
from .held import drops, off_words, worst_drop
from .model import CheckRow, Line, Section
from .words import labels, listed

__all__ = ["SIGNED", "pre_load_check"]

SIGNED = "SIGN"
"""The lead of a line under which there is room to sign."""

NAMED = 4
"""Critical points that are named in the check itself; more stand in the list of single failures."""


def pre_load_check(ctx: Context) -> Section:
    """The rows to be touched by a second person, in the order in which the load hangs."""
    rows = tuple(_Walk(ctx).rows) + tuple(_tests(ctx))
    lines = (
        Line("start again at row 1. Any re-rig, any other purpose: a new check.", "Interrupted:"),
        Line("locked, gate clear, loaded along its length.", "Each carabiner:"),
    )
    title = "Pre-load check, anchor to load, by a second person"
    return Section("check", title, lines, rows=rows, after=(Line("", SIGNED),))


class _Walk:
    """Follows the rig outward from its anchors; each connection comes once."""

    def __init__(self, ctx: Context) -> None:
        self.ctx, self.rig = ctx, ctx.rig
        self.rows: list[CheckRow] = []
        self.seen: set[str] = set()
        self.walked: set[str] = set()
        self.waiting: deque[str] = deque()
        used = _touched(ctx)
        for place in self.rig.points.values():
            if place.name in used and place.kind != "edge":
                self._from(place.name)
        for name in (*self.rig.points, *self.rig.gear, *self.rig.loads):
            if name in used:
                self._from(name)  # what no anchor leads to, and edges that something is tied to
        for rope in self.rig.ropes.values():  # between loads: no anchor leads to it but through them
            if rope.name not in self.walked:
                self._rope(rope)
        self.rows += [row for load in self.rig.loads for row in self._load(load)]

    def _from(self, part: str) -> None:
        self._part(part)
        while self.waiting:
            self._rope(self.rig.ropes[self.waiting.popleft()])

    def _part(self, part: str) -> None:
        """A place or a piece of gear, what is clipped to it, and the ropes that then wait their turn."""
        if part in self.seen:
            return
        self.seen.add(part)
        if part in self.rig.points and (part not in _edges_only(self.ctx)):
            self.rows.append(self._place(self.rig.points[part]))
        if part in self.rig.gear and isinstance(self.rig.gear[part].at, str):
            self.rows.append(self._clipped(self.rig.gear[part]))
        if part not in self.rig.loads and part not in self.rig.crews:
            for item in self.rig.gear.values():
                if item.at == part:
                    self._part(item.name)
        for rope in self.rig.ropes.values():
            near = part not in self.rig.loads and part not in self.rig.crews
            if near and rope.name not in self.walked and any(c.target == part for c in rope.run):
                self.walked.add(rope.name)
                self.waiting.append(rope.name)

    def _place(self, place: Place) -> CheckRow:
        if place.strength is None:
            return CheckRow(f"{place.name}, {place.kind}", "NOBODY HAS RATED IT", ("sound",), True)
        bears = self.ctx.force(place.strength.low)
        return CheckRow(f"{place.name}, {place.kind}", f"rated {bears}", ("sound",))

    def _clipped(self, item: Gear) -> CheckRow:
        """A piece of gear that is clipped to something, by what joins it."""
        joins = joins_of(self.rig, item.name)
        locks = [j for j in joins if self.ctx.catalogue[j].name.startswith(("carabiner", "screw"))]
        how = f"on {item.at} by {listed(joins)}"
        for name in item.over:
            how += f"; over {_edge(self.rig.points[name])}" if name in self.rig.points else ""
        boxes = ["locked"] if locks else []
        if len(locks) > 1:
            boxes = [f"{len(locks)} {boxes[0]}"]
        if item.state == "locked-off":
            boxes.append("locked off")
        bare = any(name in self.rig.points and not self.rig.points[name].protection for name in item.over)
        return CheckRow(f"{item.name} ({item.type})", how, tuple(boxes), bare)

    def _rope(self, rope: Rope) -> None:
        """A rope from where it meets what was reached, first towards the load, then the other way."""
        start = self._nearest_fixed(rope)
        order = [*range(start, len(rope.run)), *range(start - 1, -1, -1)]
        after = {c.target for c in rope.run[start + 1 :]} & set(self.rig.loads)
        if not after and start > 0:
            order = [*range(start, -1, -1), *range(start + 1, len(rope.run))]
        for k in order:
            contact = rope.run[k]
            riding = contact.target in self.rig.gear and not isinstance(self.rig.gear[contact.target].at, str)
            if contact.target and not riding:
                self._part(contact.target)
            if contact.target in self.rig.loads:
                self._hung_from(contact.target)
            self.rows.append(self._contact(rope, k))
            self.rows += [
                spare_row(self.ctx, s) for s in self.ctx.spares if (s.rope, s.index) == (rope.name, k)
            ]
            if contact.verb == "hand" and k == len(rope.run) - 1:
                self.rows.append(loose_end(self.ctx, rope))
            if contact.target and riding:
                self._part(contact.target)

    def _hung_from(self, load: str) -> None:
        """Mark a load as reached: the gear on it comes where its ropes do."""
        self.seen.add(load)

    def _nearest_fixed(self, rope: Rope) -> int:
        """The first contact at something fixed, else at something reached before, else the first."""
        for wanted in (self._is_fixed, lambda part: part in self.seen):
            for k, contact in enumerate(rope.run):
                if contact.target and contact.verb != "hand" and wanted(contact.target):
                    return k
        return 0

    def _is_fixed(self, part: str) -> bool:
        place = self.rig.points.get(hangs_on(self.rig, part))
        return place is not None and place.kind != "edge"

    # --- what a rope does

    def _contact(self, rope: Rope, index: int) -> CheckRow:
        contact = rope.run[index]
        before = _next([*reversed(rope.run[:index])])
        after = _next([*rope.run[index + 1 :]]) or "the loose end"
        target = contact.target or ""
        slack = f", {self.ctx.length(contact.slack)} slack before it" if contact.slack else ""
        match contact.verb:
            case "tie":
                knot = contact.knot or "KNOT NOT NAMED"
                return CheckRow(f"{rope.name} tied to {target}", f"{knot}{slack}", ("dressed, set, tail",))
            case "grip" | "through":
                return self._on(rope, index, before, after, slack)
            case "over":
                place = self.rig.points[target]
                return CheckRow(
                    f"{rope.name} over {target}", _edge(place), ("in place",), not place.protection
                )
            case "hand":
                where = f"on the rope behind {before}" if before else "on the rope"
                return CheckRow(f"hand of {target} on {rope.name}", f"{where}{slack}")
            case _:
                return loose_end(self.ctx, rope)

    def _on(self, rope: Rope, index: int, before: str, after: str, slack: str) -> CheckRow:
        """A grab, a device, a pulley or a join that a rope runs through."""
        contact = rope.run[index]
        item = self.rig.gear.get(contact.target or "")
        if item is None:
            return CheckRow(f"{rope.name} through {contact.target}", f"from {before} to {after}{slack}")
        kind = self.ctx.catalogue[item.type]
        rule, wrong = kind.holding, ""
        before = before or "its end"
        if contact.verb == "grip":
            how = f"bites when pulled towards {_beyond(rope.run[index + 1 :])}"
        elif rule.one_way:
            how = f"in from {before}, out to {after}; stops what runs back to {before}"
        else:
            how = f"in from {before}, out to {after}"
        if rule.needs_hand and item.state != "locked-off":
            how += "; a brake hand on it at all times"
        if contact.reversed and kind.family in ("grab", "device"):
            wrong = "THE FILE HAS IT THE WRONG WAY ROUND. Turn it: "
        sheave = f", sheave {contact.sheave} of {kind.sheaves}" if kind.sheaves > 1 else ""
        name = f"{item.name} ({item.type})" if item.name not in self.seen else item.name
        boxes = ["way round"] if kind.family in ("grab", "device") else []
        if item.state == "locked-off" and not isinstance(item.at, str):
            boxes.append("locked off")
        verb = "on" if contact.verb == "grip" else "through"
        what = f"{name} on {rope.name}" if verb == "on" else f"{rope.name} through {name}{sheave}"
        return CheckRow(what, f"{wrong}{how}{slack}", tuple(boxes), bool(wrong))

    def _load(self, name: str) -> Iterator[CheckRow]:
        load = self.rig.loads[name]
        if load.kind in ("person", "litter"):
            worn = load.wears or "WHAT IT IS CARRIED BY IS NOT NAMED"
            fit = (
                "fits, nothing under it, clipped at the ring meant for it"
                if load.kind == "person"
                else "bridle even"
            )
            yield CheckRow(f"{name} in {worn}", fit, ("buckles, gates",), load.wears is None)


def _next(run: list[Contact]) -> str:
    return next((c.target for c in run if c.target), "")


def _beyond(run: list[Contact] | tuple[Contact, ...]) -> str:
    """Towards what a rope is pulled past the grabs on it, so that grabs on one strand are told alike."""
    return next((c.target for c in run if c.target and c.verb != "grip"), "the loose end")


def _edge(place: Place) -> str:
    surface = place.surface or "surface NOT KNOWN"
    guard = f"{place.protection} under the rope" if place.protection else "NO PROTECTION"
    return f"{place.name}, {surface}: {guard}"


def _touched(ctx: Context) -> set[str]:
    """Everything that a rope meets or that something is clipped to."""
    out = {c.target for rope in ctx.rig.ropes.values() for c in rope.run if c.target}
    out |= {item.at for item in ctx.rig.gear.values() if isinstance(item.at, str)}
    return out - set(ctx.rig.crews)


def _edges_only(ctx: Context) -> set[str]:
    """Places that ropes only run over: they are no anchors."""
    held = {
        c.target for rope in ctx.rig.ropes.values() for c in rope.run if c.target and c.verb != "over"
    } | {item.at for item in ctx.rig.gear.values() if isinstance(item.at, str)}
    return {name for name in ctx.rig.points if name not in held}


def _tests(ctx: Context) -> Iterator[CheckRow]:
    """The three tests of the trade, with what the model says will happen."""
    off = ctx.x.hands_off.outcomes if ctx.x.hands_off is not None else ()
    falls = [o for o in off if o.verdict != "held"]
    said = "; ".join(words for words, _ in off_words(ctx, falls or off, small=False))
    yield CheckRow("Whistle test", f"everyone lets go; the model: {said or 'no load'}", (), bool(falls))
    dropped = drops(ctx)
    if dropped:
        who = listed(dict.fromkeys(load for _, load in dropped))
        what = dict.fromkeys(label for label, _ in dropped)
        said = f"the model: {who} not held without "
        said += labels(what) if len(what) <= NAMED else f"any one of the {len(what)} named above"
    else:
        said = f"the model: {worst_drop(ctx)}"
    yield CheckRow("Critical-point test", said, (), bool(dropped))
    yield CheckRow("Touch test", "each row by hand; then a gentle load, a roll call")
