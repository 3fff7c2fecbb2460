"""The pick list as a PDF, set like the sheets of a procedure."""

from __future__ import annotations

from ropewright import __version__
from ropewright.sheets.leaf import Block, Leaf
from ropewright.sheets.leaf_press import print_leaf
from ropewright.sheets.model import Line
from ropewright.web.planning.answer import Answer
from ropewright.web.planning.page import Station, stations_of
from ropewright.web.planning.telling import cautions, why_not
from ropewright.web.planning.verdict import verdict
from ropewright.web.policy.now import TeamRules

__all__ = ["leaf_of", "pick_list"]

CAUTION = (
    "Computed from what was entered, for planning and training under a qualified person. The maker's "
    "instructions, the authority having jurisdiction and a hands-on check before loading come first."
)
_HEAD = ("out", "back", "mark", "type", "length, size", "kit", "due", "serves as")


def pick_list(found: Answer, rules: TeamRules) -> bytes:
    """The PDF. Errors: PressError."""
    return print_leaf(leaf_of(found, rules), "us-letter" if rules.first == "us" else "a4").pdf


def leaf_of(found: Answer, rules: TeamRules) -> Leaf:
    """The list in plain strings, with nobody's name and mass: paper goes from hand to hand."""
    wrong = [Line(said.text, strong=True) for said in why_not(found, rules.units, public=True)]
    wrong += [Line(said.text, strong=said.level == "stop") for said in cautions(found, rules)]
    return Leaf(
        key="pick-list",
        kind="Pick list",
        title=found.plan.title,
        purpose=f"For {found.plan.day}. Tick what leaves the shelf, and again what is back.",
        verdict=verdict(found).on_paper.upper(),
        judged=f"Judged by {rules.for_engine.name}.",
        own="",
        wrong=tuple(wrong),
        blocks=tuple(_block(station) for station in stations_of(found, rules)),
        caution=CAUTION,
        file=f"plan {found.plan.pk}",
        time=f"{found.plan.day}",
        version=__version__,
    )


def _block(station: Station) -> Block:
    rows = tuple(
        (
            "[  ]",
            "[  ]",
            picked.given.item.mark,
            picked.given.item.type,
            picked.figure or "–",
            picked.given.item.kit or "–",
            str(picked.given.item.due or "–"),
            picked.given.part or "–",
        )
        for picked in station.picked
    )
    version = station.asked.version
    rig = f"{version.file}, version {version.number}" if version else ""
    lines = [Line(rig)] if rig and rig != station.name else []
    lines += [Line(", ".join(station.lacks), lead="Missing:", strong=True)] if station.lacks else []
    if not rows and not station.lacks:
        lines.append(Line("Nothing from the cache."))
    return Block(
        key=f"rig-{station.unit.line}-{station.unit.copy}",
        title=station.name,
        lines=tuple(lines),
        head=_HEAD if rows else (),
        table=rows,
    )
