"""Several rigs side by side, and which of them is the least for everybody on the list."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ropewright.cli.table import render_table
from ropewright.cli.terminal import clean

from .words import VERDICTS, Answered, names, wrapped

if TYPE_CHECKING:
    from ropewright.effort import Difference, Least
    from ropewright.quantity import Units

__all__ = ["comparison", "least_words"]


def comparison(done: Sequence[Answered], units: Units) -> str:
    """A row for each rig: its gear, its rope, its greatest pull, and who can work it."""
    from ropewright.quantity import show_force

    head = ("rig", "gear", "rope per m", "greatest pull", "yes", "maybe", "not known", "no", "limit")
    rows = []
    for each in done:
        a = each.answer
        count = Counter(o.verdict for o in a.outlooks)
        pulls = [ask.force.high for o in a.outlooks for ask in o.asks if ask.direction > 0]
        per = "–" if not a.prepared.motions else f"{a.rope_per_metre:.3g} m"
        most = show_force(max(pulls), units) if pulls else "–"
        rows.append(
            (
                clean(each.path.name.removesuffix(".rig.yaml"), 36),
                str(a.gear),
                per,
                most,
                *(str(count[v]) for v in VERDICTS),
            )
        )
    table = render_table(head, rows, right=range(1, len(head)))
    return f"{table}\nlimit: not tested - equipment limit."


def least_words(done: Sequence[Answered], least: Least, units: Units) -> str:
    """The least rig that does for everybody, or why none is called so."""
    name = {id(each.answer): clean(each.path.name) for each in done}
    if least.does and least.differs:
        return _unlike(least, name, units)
    if least.chosen is not None and least.sure:
        return wrapped(f"The least rig that everybody on the list can work: {name[id(least.chosen)]}.")
    if least.chosen is not None:
        who = names(least.doubtful)
        return wrapped(
            f"No rig is a yes for everybody. The least that nobody fails: {name[id(least.chosen)]}; "
            f"maybe for {who}."
        )
    lines = ["No rig here does for everybody on the list."]
    for a, fails in least.fails:
        why = "; ".join(dict.fromkeys(r for o in fails for r in o.reasons[:1]))
        lines.append(wrapped(f"{name[id(a)]} fails {names(fails) if fails else 'all'}: {clean(why)}"))
    return "\n".join(lines)


def _unlike(least: Least, name: Mapping[int, str], units: Units) -> str:
    """Rigs for unlike jobs: in what they differ, and which can be worked, but not which is the least."""
    lines = [wrapped(f"The jobs differ in {_difference(d, name, units)}.") for d in least.differs]
    who = "Everybody on the list can work" if least.sure else "Nobody surely, but nobody fails"
    order = ", least gear first" if len(least.does) > 1 else ""
    does = ", ".join(name[id(a)] for a in least.does)
    lines.append(wrapped(f"So none of these rigs is called the least. {who}{order}: {does}."))
    return "\n".join(lines)


def _difference(difference: Difference, name: Mapping[int, str], units: Units) -> str:
    from ropewright.quantity import show_length, show_mass

    none = {"load": "each on the list", "haul": "nothing hauled", "lower": "nothing lowered"}
    said = []
    for figure, alike in difference.each:
        shown = none[difference.what]
        if figure is not None:
            shown = (show_mass if difference.what == "load" else show_length)(figure, units)
        said.append(f"{shown} in {', '.join(name[id(a)] for a in alike)}")
    what = {"load": "load", "haul": "height hauled", "lower": "height lowered"}[difference.what]
    times = "" if difference.times is None else f" (the greatest is {difference.times:.3g} times the least)"
    return f"{what}: {'; '.join(said)}{times}"
