"""Who is held, in short: every hand off, any one thing failing, and by which chains."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from ropewright.judgement.examine import Failure
from ropewright.judgement.letting_go import UNKNOWN, Outcome
from ropewright.judgement.rules import Context, ratio
from ropewright.judgement.sliding import slips

from .dropped import HARDLY, SMALL, hangs, in_the_catch, lower, slipping
from .model import Line, Section
from .words import MARK, labels, listed

__all__ = [
    "Group",
    "drops",
    "factors",
    "further",
    "held",
    "least_factor",
    "off_words",
    "outcome_words",
    "worst_drop",
]

STAYS = "stays"
OTHERS = "a load that is not named above with what fails:"

Group = list[tuple[Failure, Outcome]]


def held(ctx: Context) -> Section | None:
    """Every hand off, then each single failure grouped by what becomes of the load."""
    x = ctx.x
    if x.hands_off is None or not x.hands_off.outcomes:
        return None
    told = off_words(ctx, x.hands_off.outcomes)
    lines = [Line(words, "every hand off:", "", falls) for words, falls in told]
    still = _still(ctx) if len(ctx.rig.loads) > 1 else None
    for load in ctx.rig.loads:
        lines += _failures(ctx, load, still)
        lines += _later(ctx, load)
    if still is not None:
        lines += _all_still(ctx, still)
    if any(MARK in line.text for line in lines):
        lines.append(
            Line(
                "with this gone a hand is asked for more than is counted on: it is reckoned to let go",
                MARK,
            )
        )
    lines += [_chains(ctx, k) for k in range(len(x.holdings))]
    return Section("held", "Hands off, and one thing failing", tuple(lines))


def outcome_words(ctx: Context, outcome: Outcome, small: bool = True) -> str:
    """What becomes of a load: `is held, hangs 40 mm lower`, `FALLS 6 m: nothing holds it any more`."""
    if outcome.verdict == "held":
        drop = outcome.drop or 0.0
        if abs(drop) < (HARDLY if small else SMALL):
            return "is held"
        return f"is held, {hangs(drop, outcome.lowest, ctx.units)}"
    far = "" if outcome.drop is None else f" {ctx.length(outcome.drop)}"
    return f"{outcome.verdict.upper()}{far}: {outcome.reason}"


def drops(ctx: Context) -> list[tuple[str, str]]:
    """Everything that alone drops a person or a litter: what fails, and whom it drops."""
    people = {load.name for load in ctx.people} or set(ctx.rig.loads)
    now = [(failure, outcome) for failure in ctx.x.failures for outcome in failure.after.outcomes]
    return [
        (failure.component.label, outcome.load)
        for failure, outcome in (*now, *falls_later(ctx))
        if outcome.load in people and outcome.verdict != "held"
    ]


def worst_drop(ctx: Context) -> str:
    """The greatest drop of all single failures that leave a person or a litter held, onto what, how low the
    catch takes it, and what may slip; at the end of a lowering too, where that is more.
    """
    now, later = _worst(ctx, ctx.x.failures), _worst(ctx, ctx.x.failures_later)
    if now is None and later is None:
        return "no one failure drops a load"
    if later is None or (now is not None and later[0] < now[0] + HARDLY):
        assert now is not None
        return now[1]
    return (
        f"{now[1]}; at the end of the lowering {later[1]}"
        if now
        else f"at the end of the lowering {later[1]}"
    )


def _worst(ctx: Context, failures: Iterable[Failure]) -> tuple[float, str] | None:
    """The greatest drop [m] among failures that leave everybody held, and words for it."""
    people = {load.name for load in ctx.people} or set(ctx.rig.loads)
    found = [
        (outcome.drop, failure, outcome)
        for failure in failures
        for outcome in failure.after.outcomes
        if outcome.load in people and outcome.verdict == "held" and (outcome.drop or 0.0) >= HARDLY
    ]
    drop, failure, outcome = max(found, key=lambda f: f[0] or 0.0, default=(None, None, None))
    if drop is None or failure is None or outcome is None:
        return None
    who = f"{outcome.load} " if len(people) > 1 else ""
    onto = _onto(ctx, failure, outcome.load)
    return drop, f"{who}{lower([drop], ctx.units)}{onto}{_caught(ctx, [(f, o) for _, f, o in found])}"


def _caught(ctx: Context, found: Group) -> str:
    """With how much and how low at the worst the catches take a load, and what may slip in them."""
    peaks = [o.peak.high for _, o in found if o.peak is not None]
    return (f", caught with up to {ctx.force(max(peaks))}" if peaks else "") + further(ctx, found)


def further(ctx: Context, found: Group) -> str:
    """That a load goes lower than where it hangs at last: in the catch, and if something slips in it."""
    drop = max(o.drop or 0.0 for _, o in found)
    lowest = max((o.lowest for _, o in found if o.lowest is not None), default=None)
    may_slip = [(slip.part, slip.slips_from) for f, o in found for slip in slips(f, o.load)]
    return f"{in_the_catch(drop, lowest, ctx.units)}{slipping(may_slip, ctx.units)}"


def _onto(ctx: Context, failure: Failure, load: str) -> str:
    """`, onto backup`: the one grab or else the one rope that is left to catch a load; empty where several
    are.
    """
    ropes = {
        name
        for held in ctx.x.holdings
        if held.load == load
        for chain in held.chains
        if failure.component.key not in {part.key for part in chain.components}
        for name in chain.ropes
    }
    if len(ropes) > 1:  # a rope with a second anchor holds in the end, yet is what lets the load drop
        ropes -= _ropes_at(ctx, failure.component.part)
    if len(ropes) != 1:
        return ""
    (rope,) = ropes
    grabs = [c.target for c in ctx.rig.ropes[rope].run if c.verb == "grip" and c.target]
    return f", onto {grabs[0]}" if len(grabs) == 1 else f", onto rope {rope}"


def _ropes_at(ctx: Context, part: str) -> set[str]:
    """The ropes that run at a part of the rig or at gear clipped to it."""
    at = {part, *(item.name for item in ctx.rig.gear.values() if item.at == part)}
    return {
        rope.name
        for rope in ctx.rig.ropes.values()
        if rope.name == part or any(c.target in at for c in rope.run)
    }


def off_words(ctx: Context, outcomes: Iterable[Outcome], small: bool = True) -> Iterator[tuple[str, bool]]:
    """What becomes of each load, and whether it is lost; loads with the same outcome are told as one. A small
    movement is told if ``small``.
    """
    alike: dict[tuple[str, bool], list[str]] = {}
    for outcome in outcomes:
        key = (outcome_words(ctx, outcome, small), outcome.verdict != "held")
        alike.setdefault(key, []).append(outcome.load)
    for (words, falls), names in alike.items():
        said = words.replace("is held", "are held") if len(names) > 1 else words
        yield f"{listed(names)} {said}", falls


def _still(ctx: Context) -> Group:
    """Each failure that leaves every load about where it is, with what becomes of each."""
    return [
        (failure, outcome)
        for failure in ctx.x.failures
        if all(_kind(o)[0] == STAYS for o in failure.after.outcomes)
        for outcome in failure.after.outcomes
    ]


def _all_still(ctx: Context, still: Group) -> Iterator[Line]:
    """Where several loads hang: what moves none of them, once; what moves one leaves the others there."""
    told = {id(failure) for failure, _ in still}
    others = [
        (failure, outcome)
        for failure in ctx.x.failures
        for outcome in failure.after.outcomes
        if id(failure) not in told and _kind(outcome)[0] == STAYS
    ]
    if still:
        said = _held(ctx, still, "if one fails", several=True)
        yield Line(_names(still), f"all are {said}:", least_factor(still))
    if others:
        yield Line(_held(ctx, others), OTHERS, least_factor(others))


def _failures(ctx: Context, load: str, still: Group | None) -> Iterator[Line]:
    """Each thing by name under what becomes of the load; what leaves it about where it is comes last, and of
    several loads (``still``: what moves none of them) not here.
    """
    groups: dict[tuple[str, str], Group] = {}
    for failure in ctx.x.failures:
        outcome = next(o for o in failure.after.outcomes if o.load == load)
        groups.setdefault(_kind(outcome), []).append((failure, outcome))
    who = f"{load} " if still is not None else ""
    if still is not None:
        groups.pop((STAYS, ""), None)
    order = ["FALLS", "RUNS", UNKNOWN.upper(), "held", STAYS]
    for (verdict, _), found in sorted(groups.items(), key=lambda g: order.index(g[0][0])):
        if verdict in order[:3]:
            far = "" if found[0][1].drop is None else f" {ctx.length(found[0][1].drop)}"
            yield Line(
                f"{_names(found)} ({found[0][1].reason})", f"{who}{verdict}{far} if one fails:", "", True
            )
        else:
            yield Line(_names(found), f"{who}{_held(ctx, found, 'if one fails')}:", least_factor(found))


def _later(ctx: Context, load: str) -> Iterator[Line]:
    """What drops a load only at the lower end of a lowering, where rope is long and the ground near."""
    groups: dict[str, list[str]] = {}
    for failure, outcome in falls_later(ctx):
        if outcome.load == load:
            groups.setdefault(f"{outcome.verdict.upper()} ({outcome.reason})", []).append(
                failure.component.label
            )
    for what, names in groups.items():
        yield Line(f"{load} {what}: {labels(names)}", "at the end of the lowering, if one fails:", "", True)


def falls_later(ctx: Context) -> list[tuple[Failure, Outcome]]:
    """Failures that drop a load at the end of a lowering though not where it is drawn."""
    before = {(f.component.key, o.load): o.verdict for f in ctx.x.failures for o in f.after.outcomes}
    return [
        (failure, o)
        for failure in ctx.x.failures_later
        for o in failure.after.outcomes
        if o.verdict != "held" and before.get((failure.component.key, o.load)) == "held"
    ]


def _names(found: Group) -> str:
    return labels(f"{f.component.label}{MARK if o.load in f.after.gave_way else ''}" for f, o in found)


def _kind(o: Outcome) -> tuple[str, str]:
    """What a group is told by: how it ends; of those held the drop, small ones together."""
    drop = 0.0 if o.drop is None else abs(o.drop)
    if o.verdict != "held":
        return o.verdict.upper(), f"{o.reason} {drop:.3f}"
    return (STAYS, "") if drop < SMALL else ("held", f"{o.drop:.1g}")


def _held(ctx: Context, found: Group, when: str = "", *, several: bool = False) -> str:
    """How loads are held after failures (``when``), where they hang then, and what the catches do;
    ``several``: said of more than one load.
    """
    ways = [0.0 if o.drop is None else o.drop for _, o in found]
    swing = max(o.swing for _, o in found)
    stays = max(map(abs, ways)) < HARDLY
    where = f"held where {'they are' if several else 'it is'}" if stays else "held"
    text = f"{where}{f' {when}' if when else ''}"
    if not stays:
        hang = lower(ways, ctx.units)
        text += f", {hang.replace('hangs', 'hang', 1) if several else hang}"
    text += f", swinging {ctx.length(swing)}" if swing >= SMALL else ""
    return text + _caught(ctx, found)


def least_factor(found: Group) -> str:
    """The least factor after these failures, in the catch before the one once everything hangs still."""
    known = [(w, f.catch_on(o.load)) for f, o in found if (w := f.weakest_for(o.load)) is not None]
    if not known:
        return ""
    (part, still), catch = min(known, key=lambda k: k[0][1] / k[1])
    return f"least factor then: {part}, {factors(still, catch)}"


def factors(still: float, catch: float) -> str:
    """A factor once everything hangs still, behind what is left of it in the catch where there is one."""
    return ratio(still) if catch <= 1.0 else f"{ratio(still / catch)} in the catch, {ratio(still)} after it"


def _chains(ctx: Context, index: int) -> Line:
    holding = ctx.x.holdings[index]
    said = [
        f"{' and '.join(chain.ropes)} ({'hands off' if chain.hands_off else 'in hand'})"
        for chain in holding.independent
    ]
    count = len(holding.independent)
    text = f"{'; '.join(said) or 'none'}"
    return Line(text, f"{holding.load} hangs on {count} independent {'chain' if count == 1 else 'chains'}:")
