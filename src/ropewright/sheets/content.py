"""A rig card from an examination: what an instructor at a station needs, in that order, as plain strings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from ropewright import __version__
from ropewright.drawing import Picture
from ropewright.judgement.alike import grouped, words_of_all
from ropewright.judgement.examine import Examination
from ropewright.judgement.findings import findings, within_policy
from ropewright.judgement.own_rules import sentence
from ropewright.judgement.rules import Context, Finding, Level, near_ground, words_of
from ropewright.quantity import Units

from .crew import who
from .figures import margins, motions, tensions
from .held import held
from .ink import printable
from .kit import edges, gear_list
from .model import Card, Line, Section
from .sources import assumptions
from .walk import pre_load_check
from .words import capital, counted

__all__ = ["CAUTION", "card_of", "told_first"]

CAUTION = (
    "Computed from what was entered, for planning and training under a qualified person. The maker's "
    "instructions, the authority having jurisdiction and a hands-on check before loading come first."
)
LONGEST_PURPOSE = 360
"""Characters of what a rig is for that a card has room for."""
_LEADS: dict[Level, str] = {"stop": "STOP", "question": "OPEN", "caution": "Caution", "note": "Note"}
_TOLD_ELSEWHERE = {"assumptions", "edge-protected", "crew-counted-looser"}
"""Codes that have a place of their own on the card: a looser pull at its head and beside who can work it."""


def card_of(
    examination: Examination,
    picture: Picture | None,
    *,
    file: str,
    time: str,
    units: Units = "both",
    found: tuple[Finding, ...] | None = None,
) -> Card:
    """Everything that the card of a rig says.

    picture: as drawn without a frame; None leaves it out. file, time: printed at the foot as they are given.
    units: of every figure. found: the findings, where they are at hand.
    """
    found = findings(examination, units) if found is None else found
    ctx = Context(examination, units)
    return Card(
        title=" ".join(examination.rig.rig.split()),
        purpose=_cut(examination.rig.about),
        verdict="WITHIN POLICY" if within_policy(found) else "OUTSIDE POLICY",
        policy=f"{ctx.policy.told}{_counts(found)}",
        picture=None if picture is None else printable(picture),
        picture_note=_state(ctx),
        sections=tuple(s for s in _sections(ctx, found) if s is not None),
        caution=CAUTION,
        file=file,
        time=time,
        version=__version__,
        told_first=tuple(s for s in (sentence(ctx.rig, units), *told_first(ctx, found)) if s),
    )


def _cut(text: str) -> str:
    """A purpose that leaves room for the rest."""
    words = " ".join(text.split())
    return words if len(words) <= LONGEST_PURPOSE else f"{words[: LONGEST_PURPOSE - 1]}…"


def _sections(ctx: Context, found: tuple[Finding, ...]) -> Iterable[Section | None]:
    yield _found("found", "Stops and open questions", found, ("stop", "question"))
    yield from motions(ctx)
    yield tensions(ctx)
    yield margins(ctx)
    yield held(ctx)
    yield who(ctx)
    yield gear_list(ctx)
    yield edges(ctx)
    yield pre_load_check(ctx)
    yield _found("cautions", "Cautions and notes", found, ("caution", "note"))
    yield assumptions(ctx)


def _counts(found: tuple[Finding, ...]) -> str:
    words: tuple[tuple[Level, str], ...] = (("stop", "stop"), ("question", "open question"))
    numbers = [(len([f for f in found if f.level == level]), word) for level, word in words]
    cautions = [f for f in found if f.level == "caution" and f.code not in _TOLD_ELSEWHERE]
    numbers.append((len(grouped(cautions)), "caution"))  # as many as are listed
    said = [counted(number, word) for number, word in numbers if number]
    return f": {', '.join(said)}" if said else ""


def told_first(ctx: Context, found: tuple[Finding, ...]) -> Iterable[str]:
    """What the verdict has to be read with: nobody hangs there, or something hangs elsewhere than drawn."""
    asked = ctx.policy.number("chains")
    if ctx.rig.loads and not ctx.people:
        more = f", and so {asked:g} independent chains were not asked for" if asked and asked > 1 else ""
        yield f"Only objects hang here: as the file has it, no person is on or under it{more}."
    for near in near_ground(ctx):
        yield words_of(ctx, near, within_policy(found))
    for f in found:
        if f.code == "hangs-elsewhere":
            yield f"{capital(f.text)}."


def _state(ctx: Context) -> str:
    """Which forces the picture shows."""
    for moved in ctx.motions:
        way = "hauled" if moved.direction > 0 else "lowered"
        return f"Picture: forces while {moved.load} is {way}, with friction, at the likely figures."
    if ctx.x.stands:
        return "Picture: forces at rest, at the likely figures."
    return "Picture: NOT SOLVED, drawn as the file has it, without forces."


def _found(key: str, title: str, found: tuple[Finding, ...], levels: tuple[Level, ...]) -> Section | None:
    shown = [f for f in found if f.level in levels and f.code not in _TOLD_ELSEWHERE]
    if not shown:
        return None
    return Section(key, title, tuple(_line(alike) for alike in grouped(shown)), spare=0)


def _line(alike: Sequence[Finding]) -> Line:
    first, text = alike[0], words_of_all(alike)
    if len(alike) > 1 and first.code == "single-failure":  # the next section but one has them all by name
        text = f"{first.group.replace('any one of these', f'any one of {len(alike)} things')} (named below)"
    return Line(text, _LEADS[first.level], first.repair, first.level == "stop")
