"""Who is held: with every hand off, when one thing fails, and by which chains."""

from ropewright.cli.summary.text import heading, item, paragraph, table
from ropewright.judgement.examine import Failure
from ropewright.judgement.letting_go import Outcome
from ropewright.judgement.rules import Context, ratio
from ropewright.quantity import show_range

__all__ = ["chains", "failures", "hands_off"]

SWINGS = 0.5
"""Distance sideways [m] from which a swing is told."""


def hands_off(ctx: Context) -> list[str]:
    """What becomes of each load when every hand lets go."""
    if ctx.x.hands_off is None or not ctx.x.hands_off.outcomes:
        return []
    lines = heading("Every hand off")
    for outcome in ctx.x.hands_off.outcomes:
        reason = f": {outcome.reason}" if outcome.reason else ""
        drop = _drop(ctx, outcome)
        far = f", {drop} down" if drop not in ("0", "–") else ""
        lines += paragraph(f"{outcome.load}: {outcome.verdict}{far}{reason}")
    return lines


def failures(ctx: Context) -> list[str]:
    """What follows when each single thing fails."""
    rows = [row for failure in ctx.x.failures for row in _rows(ctx, failure)]
    if not rows:
        return []
    head: tuple[str, ...] = ("fails", "load", "outcome", "drop", "caught with", "weakest then (factor)")
    if len(ctx.rig.loads) == 1:
        head, rows = _without_load(head), [_without_load(row) for row in rows]
    return [*heading("One thing fails"), *table(head, rows, wrap_last=True)]


def _without_load(row: tuple[str, ...]) -> tuple[str, ...]:
    return row[:1] + row[2:]


def _rows(ctx: Context, failure: Failure) -> list[tuple[str, ...]]:
    out = list[tuple[str, ...]]()
    for o in failure.after.outcomes:
        held = o.verdict == "held"
        said = [] if held else [o.reason]
        if held and failure.weakest is not None:
            caught = (
                f"; {ratio(failure.weakest[1] / failure.catch)} in the catch" if failure.catch > 1 else ""
            )
            said.append(f"{failure.weakest[0]} ({ratio(failure.weakest[1])}{caught})")
        if held and o.swing >= SWINGS:
            said.append(f"swings {ctx.length(o.swing)}")
        if failure.after.hands_gave_way and not held:
            said.append("hands give way")
        verdict = o.verdict if held else o.verdict.upper()
        peak = "–" if o.peak is None else show_range(o.peak, "force", ctx.units)
        out.append((failure.component.label, o.load, verdict, _drop(ctx, o), peak, "; ".join(said)))
    return out


def _drop(ctx: Context, outcome: Outcome) -> str:
    if outcome.drop is None:
        return "–"
    if abs(outcome.drop) < 1e-3:
        return "0"
    rises = outcome.drop < 0
    return f"{'up ' if rises else ''}{ctx.length(abs(outcome.drop))}"


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
        if held.shared:
            text += f"; {len(held.chains)} in all, which share {', '.join(held.shared)}"
        lines += item(f"{held.load}: ", text)
    return lines
