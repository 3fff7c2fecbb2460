"""Who is held: with every hand off, when one thing fails, and by which chains."""

from ropewright.cli.summary.text import heading, item, paragraph, table
from ropewright.judgement.examine import Failure
from ropewright.judgement.letting_go import Outcome
from ropewright.judgement.rules import Context, stands_there
from ropewright.quantity import show_range
from ropewright.sheets.dropped import hangs
from ropewright.sheets.held import factors, further, least_factor

__all__ = ["chains", "failures", "hands_off"]

SWINGS = 0.5
"""Distance sideways [m] from which a swing is told."""
FAR_SWING = 1.0
"""Distance sideways [m] from which a load that is held has a line of its own."""
FAR_DROP = 0.1
"""Drop [m] from which a load that is held has a line of its own."""
SMALL = 0.05
"""Way [m] down or up that is told as none: rope takes it up in stretching."""


def hands_off(ctx: Context) -> list[str]:
    """What becomes of each load when every hand lets go."""
    if ctx.x.hands_off is None or not ctx.x.hands_off.outcomes:
        return []
    lines = heading("Every hand off")
    for outcome in ctx.x.hands_off.outcomes:
        reason = f": {outcome.reason}" if outcome.reason else ""
        verdict = "stands on the ground" if stands_there(outcome) else f"{_came(ctx, outcome)}{reason}"
        lines += paragraph(f"{outcome.load}: {verdict}")
    return lines


def failures(ctx: Context) -> list[str]:
    """What follows when each single thing fails: falls, then drops and swings, the rest told together."""
    outcomes = [(f, o) for f in ctx.x.failures for o in f.after.outcomes]
    falls = [(f, o) for f, o in outcomes if o.verdict != "held" and not stands_there(o)]
    far = [(f, o) for f, o in outcomes if o.verdict == "held" and _far(o)]
    stands = [(f, o) for f, o in outcomes if stands_there(o)]
    little = [(f, o) for f, o in outcomes if o.verdict == "held" and not _far(o)]
    rows = [_row(ctx, failure, outcome) for failure, outcome in (*falls, *far)]
    rows.sort(key=lambda row: row[2] == "held")
    lines = heading("One thing fails") if outcomes else []
    if rows:
        head: tuple[str, ...] = ("fails", "load", "outcome", "lower by", "caught with", "least factor then")
        if len(ctx.rig.loads) == 1:
            head, rows = _without_load(head), [_without_load(row) for row in rows]
        lines += table(head, rows, wrap_last=True)
    lines += _further(ctx, [(f, o) for f, o in far if (o.drop or 0.0) >= FAR_DROP])
    for load in ctx.rig.loads:
        lines += _together(load, "held where it is", [(f, o) for f, o in little if o.load == load])
        lines += _together(load, "stands on the ground", [(f, o) for f, o in stands if o.load == load])
    if any(o.peak is not None for _, o in outcomes):
        lines += paragraph(
            "caught with: each catch is reckoned as an undamped spring that takes up the load from nothing; "
            "ropes that carry already catch more softly, so that is on the careful side"
        )
    return lines


def _far(outcome: Outcome) -> bool:
    drop = 0.0 if outcome.drop is None else abs(outcome.drop)
    return drop > FAR_DROP or outcome.swing > FAR_SWING


def _together(load: str, said: str, alike: list[tuple[Failure, Outcome]]) -> list[str]:
    """One line for all failures that leave a load about where it is, with the part that is worst off then."""
    if not alike:
        return []
    text = f"{load} {said} when {'one of these fails: ' if len(alike) > 1 else 'this fails: '}"
    text += ", ".join(f.component.label for f, _ in alike)
    least = least_factor(alike) if said.startswith("held") else ""
    text += f"; {least}" if least else ""
    return paragraph(text)


def _without_load(row: tuple[str, ...]) -> tuple[str, ...]:
    return row[:1] + row[2:]


def _row(ctx: Context, failure: Failure, o: Outcome) -> tuple[str, ...]:
    held = o.verdict == "held"
    said = [] if held else [o.reason]
    weakest = failure.weakest_for(o.load)
    if held and weakest is not None:
        part, still = weakest
        said.append(f"{part}: {factors(still, failure.catch_on(o.load))}")
    if held and o.swing >= SWINGS:
        said.append(f"swings {ctx.length(o.swing)}")
    if o.load in failure.after.gave_way and not held:
        said.append("hands give way")
    verdict = o.verdict if held else o.verdict.upper()
    peak = "–" if o.peak is None else show_range(o.peak, "force", ctx.units)
    drop = _drop(ctx, o)
    if (o.drop or 0.0) < 0 and drop != "0":
        drop = f"up {drop}"
    return failure.component.label, o.load, verdict, drop, peak, "; ".join(each for each in said if each)


def _came(ctx: Context, o: Outcome) -> str:
    """What becomes of a load with every hand off, and where it then hangs."""
    if o.verdict != "held":
        return o.verdict if o.drop is None else f"{o.verdict}, {ctx.length(o.drop)} down"
    if abs(o.drop or 0.0) < SMALL:
        return o.verdict
    return f"{o.verdict}, {hangs(o.drop or 0.0, o.lowest, ctx.units)}"


def _further(ctx: Context, caught: list[tuple[Failure, Outcome]]) -> list[str]:
    """That a load goes lower than where it hangs at last: in the catch, and if something slips in it."""
    if not caught:
        return []
    return paragraph(f"lower by: where it hangs at last{further(ctx, caught)}")


def _drop(ctx: Context, outcome: Outcome) -> str:
    if outcome.drop is None:
        return "–"
    return "0" if abs(outcome.drop) < SMALL else ctx.length(abs(outcome.drop))


def chains(ctx: Context) -> list[str]:
    """The independent chains of each load and what keeps others from counting."""
    if not ctx.x.holdings:
        return []
    lines = heading("Chains")
    for held in ctx.x.holdings:
        said = [
            f"{' and '.join(chain.ropes)} ({'hands off' if chain.hands_off else 'in hand'})"
            for chain in held.independent
        ]
        text = f"{len(held.independent)} independent: {'; '.join(said)}" if said else "none"
        if held.shared and len(held.independent) < (ctx.policy.number("chains") or 0):
            text += f"; {len(held.chains)} in all, which share {', '.join(held.shared)}"
        lines += item(f"{held.load}: ", text)
    return lines
