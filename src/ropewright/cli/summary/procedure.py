"""A procedure's proof and mistakes as text: every step on its line, what is wrong under it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from ropewright.cli.summary.text import heading, item, paragraph, table
from ropewright.cli.terminal import clean
from ropewright.judgement.own_rules import sentence
from ropewright.procedure import Held, Played, Proof, World
from ropewright.procedure.exposure import Exposure, exposure
from ropewright.procedure.mistakes import CONSEQUENCES, Mistake, Mistakes
from ropewright.procedure.prove import as_entered, told_cautions, told_missing
from ropewright.sheets.dropped import became

__all__ = ["mistakes_summary", "proof_brief", "proof_summary"]

_MARK = {"ok": "ok", "caution": "caution", "refused": "REFUSED"}


def proof_brief(name: str, proof: Proof) -> str:
    """One line: whether a step is refused, under what, and how many are or have a caution."""
    return clean(f"{name}: {_verdict(proof)}")


def _verdict(proof: Proof) -> str:
    counts = Counter[str](p.verdict for p in proof.steps)
    if proof.proved:
        verdict = proof.headline.replace("no step refused", "NO STEP REFUSED", 1)
        return f"{verdict}, {len(proof.steps)} steps, {as_entered(proof.procedure)}"
    said = [f"{counts['refused']} refused"] if counts["refused"] else []
    if proof.start_faults:
        said = ["outside policy before the first step", *said]
    return f"NOT PROVED, {len(proof.steps)} steps: {', '.join(said)}{told_cautions(proof.cautions)}"


def proof_summary(name: str, world: World, proof: Proof) -> str:
    """Every step, what holds everybody after it, the worst drop, and what is wrong."""
    lines = [clean(f"{name}: {proof.procedure.name}"), _verdict(proof)]
    own = sentence(proof.procedure.rig)
    lines += paragraph(own, 0) if own else []
    lines += heading("Steps")
    head = ("", "who", "does", "", "held by", "the worst single failure then")
    rows = [
        (
            "0",
            "",
            "the start",
            _start(proof),
            _held(dict(proof.start_held)),
            _worst(exposure(world, proof.start)),
        )
    ]
    rows += [
        (
            str(p.n),
            p.step.doer,
            p.step.text,
            _MARK[p.verdict],
            _held(dict(p.held)),
            _worst(exposure(world, p.after)),
        )
        for p in proof.steps
    ]
    lines += table(head, rows, right=(0,), wrap_last=True)
    wrong = list(_wrong(proof))
    if wrong:
        lines += heading("What is wrong, and what would be right")
        refused = [p.n for p in proof.steps if p.verdict == "refused"]
        if len(refused) > 1:
            lines += paragraph(
                f"Begin with step {refused[0]}: what is told after it may only follow from it."
            )
        lines += wrong
    return "\n".join(lines)


def _start(proof: Proof) -> str:
    return "REFUSED" if proof.start_faults else "ok"


def _held(held: dict[str, Held]) -> str:
    """`student 2 (2 hands-off)`."""
    said = [f"{load} {h.chains} ({h.hands_off} hands-off)" for load, h in held.items()]
    return "; ".join(said) or "nobody hangs"


def _worst(found: dict[str, Exposure]) -> str:
    said = []
    for load, x in found.items():
        if x.outcome == "held" and (x.drop or 0.0) < 0.005:
            said.append(f"{load} stays")
        else:
            said.append(f"if {x.part} fails, {load} {became(x, 'both')}")
    return "; ".join(said)


def _wrong(proof: Proof) -> Iterator[str]:
    for fault in proof.start_faults:
        yield from item("at the start  ", fault.text)
        yield from _right(fault.fix)
    for played in proof.steps:
        yield from _faults(played)


def _faults(played: Played) -> Iterator[str]:
    """What is wrong with a step; what only still is since an earlier one is not told again."""
    for fault in played.faults:
        if fault.kind == "still":
            continue
        where = f"step {played.n} (line {played.step.line})  "
        yield from item(f"{where}{'refused: ' if fault.level == 'refused' else 'caution: '}", fault.text)
        yield from _right(fault.fix)


def _right(fix: str) -> list[str]:
    return item("→ ", fix, 2) if fix else []


def mistakes_summary(name: str, found: Mistakes) -> str:
    """All mistakes by step, the critical steps, the checks that are missing."""
    counts = Counter(m.consequence for m in found.all)
    said = ", ".join(f"{counts[c]} {c}" for c in reversed(CONSEQUENCES) if counts[c])
    lines = [
        clean(f"{name}: {found.proof.procedure.name}"),
        f"{_verdict(found.proof)}{told_missing(len(found.missing))}",
    ]
    lines += paragraph(f"{len(found.all)} mistakes tried: {said}", 0)
    for title, wanted in _GROUPS:
        told = [m for m in found.all if m.consequence in wanted]
        if told:
            lines += heading(title)
        for mistake in sorted(told, key=lambda m: (-CONSEQUENCES.index(m.consequence), m.n)):
            lines += item(f"{mistake.n:>3}  {mistake.consequence:<14}  ", _told(mistake))
    lines += heading("Critical steps")
    steps = found.proof.procedure.steps
    for n, reason in found.critical.items():
        lines += item(f"{n:>3}  {clean(steps[n - 1].text)}: ", reason)
    if not found.critical:
        lines += paragraph("none: no single mistake leaves anybody with less than the policy asks for")
    lines += heading("Where a check is missing")
    for check in found.missing:
        lines += item(f"before step {check.before}  ", f"{check.doer}: {check.proposed}")
        lines += item("because ", f"{check.mistake.what}: {check.mistake.text}; {check.text}", 2)
    if not found.missing:
        lines += paragraph("nowhere: a check or a hold point finds every mistake that exposes somebody")
    return "\n".join(lines)


_GROUPS = (
    ("Mistakes that leave somebody exposed", ("falls", "runs", "outside policy")),
    ("Mistakes that weaken the procedure", ("caution",)),
    ("Mistakes with which nothing goes on", ("stuck",)),
)


def _told(mistake: Mistake) -> str:
    said = mistake.what if mistake.what.startswith(mistake.kind) else f"{mistake.kind}: {mistake.what}"
    where = f" (step {mistake.at})" if mistake.at != mistake.n else ""
    by = ""
    if mistake.grave:
        by = f"; found by step {mistake.caught_by}" if mistake.caught_by else "; found by no check"
    return f"{said} → {mistake.text}{where}{by}"
