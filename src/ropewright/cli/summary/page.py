"""One rig's page: verdict first, then what was found, then the figures."""

from collections.abc import Iterable

from ropewright.cli.summary.figures import assumptions, forces, limit, motion, parts, ropes
from ropewright.cli.summary.people import chains, failures, hands_off
from ropewright.cli.summary.text import heading, item, paragraph
from ropewright.cli.terminal import clean
from ropewright.judgement.alike import ELSEWHERE, counted, grouped, words_of_all
from ropewright.judgement.findings import within_policy
from ropewright.judgement.own_rules import sentence
from ropewright.judgement.rules import Context, Finding, Level, near_ground, words_of

__all__ = ["brief", "summary"]

_LABELS: dict[Level, str] = {"stop": "STOP", "question": "OPEN", "caution": "caution", "note": "note"}


def summary(name: str, ctx: Context, found: tuple[Finding, ...]) -> str:
    """The whole page of one rig file, without a closing line break."""
    rig = ctx.rig
    lines = [f"{clean(name)}: {clean(rig.rig)}"]
    lines += paragraph(rig.about) if rig.about else []
    lines += paragraph(f"{verdict(found)} ({ctx.policy.told}){_counts(found)}")
    own = sentence(rig, ctx.units)
    lines += paragraph(own) if own else []
    for near in near_ground(ctx):
        lines += paragraph(words_of(ctx, near, within_policy(found)))
    lines += _found("What was found", [f for f in found if f.level != "question"])
    lines += _found("Open questions", [f for f in found if f.level == "question"])
    for moved in (ctx.x.haul, ctx.x.lower):
        lines += motion(ctx, moved)
    lines += forces(ctx)
    lines += parts(ctx)
    lines += hands_off(ctx)
    lines += failures(ctx)
    lines += chains(ctx)
    lines += limit(ctx)
    lines += ropes(ctx)
    lines += assumptions(ctx)
    return "\n".join(lines)


def brief(name: str, ctx: Context, found: tuple[Finding, ...]) -> str:
    """One line: the verdict, the file, its title, the first thing found, and whether the crew is too weak."""
    shown = [f for f in found if f.level == "stop" or f.open][:1]
    shown += [f for f in found if f.code == "crew-too-weak" and f not in shown]
    text = f"{verdict(found)}  {clean(name)}: {clean(ctx.rig.rig)}{_counts(found)}"
    apart = [words_of(ctx, near, within_policy(found)).rstrip(".") for near in near_ground(ctx)]
    return "; ".join([text, *apart, *(clean(f.text) for f in shown)])


def verdict(found: Iterable[Finding]) -> str:
    """The two words that the page stands for."""
    return "WITHIN POLICY" if within_policy(found) else "OUTSIDE POLICY"


def _counts(found: tuple[Finding, ...]) -> str:
    words: list[tuple[Level, str]] = [("stop", "stop"), ("question", "open question"), ("caution", "caution")]
    number = counted(found)
    parts = [
        f"{number[level]} {word}{'' if number[level] == 1 else 's'}" for level, word in words if number[level]
    ]
    return f": {', '.join(parts)}" if parts else ""


def _found(title: str, found: list[Finding]) -> list[str]:
    shown = [f for f in found if f.code not in ELSEWHERE]
    if not shown:
        return []
    lines = heading(title)
    for alike in grouped(shown):
        first = alike[0]
        text = words_of_all(alike)
        numbers = list(dict.fromkeys(f.line for f in alike if f.line))
        where = f" (line{'s' if len(numbers) > 1 else ''} {', '.join(map(str, numbers))})" if numbers else ""
        lines += item(f"{_LABELS[first.level]:<8}", text + where)
        if first.repair:
            lines += item(f"{'':<8}→ ", first.repair)
    return lines
