"""`ropewright who`: who of a list can work a rig, alone or as a crew, and the least rig that does for all."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import fill
from typing import TYPE_CHECKING

import click

from ropewright.cli.caution import CAUTION
from ropewright.cli.options import NamedPath, team_option, units_option
from ropewright.cli.progress import Progress
from ropewright.cli.table import render_table
from ropewright.cli.terminal import clean
from ropewright.errors import RopewrightError

if TYPE_CHECKING:  # the model is imported once a file is read: bad words on the line cost no start
    from ropewright.effort import (
        Ask,
        Difference,
        Haulers,
        Least,
        LineNeed,
        Outlook,
        Person,
        RigAnswer,
        Verdict,
    )
    from ropewright.quantity import Range, System, Units
    from ropewright.rig import Rig

__all__ = ["command"]

CANNOT, UNUSABLE = 1, 2
_WIDTH = 110
_NAME = 24  # columns of a name in a table
_VERDICTS: tuple[Verdict, ...] = ("yes", "maybe", "not known", "no", "equipment limit")


@dataclass(frozen=True, slots=True)
class _Answered:
    """One rig file with its answer."""

    path: Path
    answer: RigAnswer


@click.command("who")
@click.argument("files", metavar="RIG...", nargs=-1, required=True, type=NamedPath())
@click.option(
    "--masses",
    metavar="LIST",
    help="Masses with gear: 78,84,91 or '172 lb, 84 kg'. Bare numbers take --units, else the rig's units.",
)
@click.option(
    "--roster",
    type=NamedPath(),
    metavar="FILE",
    help="A CSV, YAML or TOML list of people: name, mass and, if known, role, pull, reach.",
)
@click.option(
    "--crew",
    type=click.IntRange(1, 1000),
    metavar="N",
    help="How many haul; the safety officer is never one of them.",
)
@click.option("--ropes", metavar="LIST", help="Lengths of the ropes at hand, as in '100 ft,75 ft'.")
@click.option("--json", "as_json", is_flag=True, help="Print JSON, in SI units.")
@click.option("--brief", "in_brief", is_flag=True, help="Print one line for each rig.")
@units_option
@team_option
def command(
    files: tuple[Path, ...],
    masses: str | None,
    roster: Path | None,
    crew: int | None,
    ropes: str | None,
    as_json: bool,
    in_brief: bool,
    units: Units,
    team: Path | None,
) -> int:
    """Say who of a list can work a rig, alone or as a crew, and which of several rigs is the least for all.

    Without a list, the load is taken as the file has it. Exit status: 0 everybody can or may, of several
    rigs in one of them; 1 somebody can't; 2 a file or a list can't be used.
    """
    from ropewright.catalogue import load_catalogue
    from ropewright.effort import answer, as_data, least_rig, prepare
    from ropewright.rig import read_rig

    if masses is not None and roster is not None:
        raise click.UsageError("give --masses or --roster, not both")
    catalogue = load_catalogue(team)
    rigs: list[tuple[Path, Rig]] = []
    status = 0
    for path in files:
        try:
            rigs.append((path, read_rig(path, catalogue)))
        except RopewrightError as error:
            status = UNUSABLE
            _complain(error)
    people = _people(masses, roster, units, [rig for _, rig in rigs])
    at_hand = _ropes(ropes, units, [rig for _, rig in rigs])
    progress, done = Progress(len(rigs)), list[_Answered]()
    for path, rig in rigs:
        progress.begin(path.name)
        try:
            done.append(_Answered(path, answer(prepare(rig, catalogue), people, crew, units)))
        except RopewrightError as error:
            status = UNUSABLE
            _complain(error)
        finally:
            progress.end()
    if not done:
        return status
    for each in done:
        if crew is not None and each.answer.crew is None:
            text = (
                f"{each.path.name}: --crew is not used here: nobody but the load is at a rope that is hauled"
            )
            click.echo(f"ropewright: {clean(text)}", err=True)
    least = least_rig([each.answer for each in done])
    if as_json:
        data = as_data([(str(each.path), each.answer) for each in done], least, at_hand)
        click.echo(json.dumps({**data, "caution": CAUTION}, indent=1, allow_nan=False))
    else:
        click.echo(_page(done, least, at_hand, units, in_brief))
    return max(status, 0 if least.does else CANNOT)


def _people(masses: str | None, roster: Path | None, units: Units, rigs: Sequence[Rig]) -> tuple[Person, ...]:
    from ropewright.effort import people_of_masses, read_roster

    if masses is not None:
        return people_of_masses(masses, _bare(units, rigs))
    if roster is None:
        return ()
    return read_roster(roster, None if units == "both" else units)


def _bare(units: Units, rigs: Sequence[Rig]) -> System | None:
    """What a bare number on the line means: `--units`, else the units of all the rigs."""
    if units != "both":
        return units
    systems = {rig.units for rig in rigs}
    return systems.pop() if len(systems) == 1 else None


def _ropes(text: str | None, units: Units, rigs: Sequence[Rig]) -> tuple[float, ...]:
    from ropewright.quantity import QuantityError, read_quantity

    if text is None:
        return ()
    try:
        found = [
            read_quantity(cell, "length", _bare(units, rigs) or "metric", sign="above-zero")
            for cell in text.split(",")
        ]
    except QuantityError as error:
        raise click.UsageError(f"--ropes: {error}") from None
    return tuple(each.low for each in found)


def _complain(error: RopewrightError) -> None:
    for line in str(error).split("\n"):
        click.echo(f"ropewright: {clean(line)}", err=True)


# --- the page


def _page(
    done: Sequence[_Answered], least: Least, at_hand: Sequence[float], units: Units, in_brief: bool
) -> str:
    parts = [_brief(each) if in_brief else _block(each, at_hand, units) for each in done]
    if len(done) > 1:
        if not in_brief:
            parts.append(_comparison(done, units))
        parts.append(_least(done, least, units))
    if not in_brief:
        parts.append(_counted_on(done, units))
    parts.append(fill(CAUTION, _WIDTH))
    return ("\n" if in_brief else "\n\n").join(parts)


def _tally(answer: RigAnswer) -> str:
    count = Counter(o.verdict for o in answer.outlooks)
    return ", ".join(f"{count[v]} {v}" for v in _VERDICTS if count[v]) or "nobody to put on the rope"


def _brief(each: _Answered) -> str:
    out = [o for o in each.answer.outlooks if o.verdict != "yes"]
    named = "; ".join(f"{clean(o.person.name, _NAME)}: {o.verdict}" for o in out[:4])
    more = f" ({named}{f'; {len(out) - 4} more' if len(out) > 4 else ''})" if out else ""
    return f"{clean(each.path.name)}: {_tally(each.answer)}{more}"


def _block(each: _Answered, at_hand: Sequence[float], units: Units) -> str:
    a = each.answer
    lines = [f"{clean(each.path.name)}: {clean(a.prepared.rig.rig)}"]
    lines.append(_wrapped(f"{_asked_of(a, units)}: {_tally(a)}."))
    if a.crew is not None and a.crew.count:
        lines.append(
            "Yes says that the crew hauls at its sustained figure; at best case alone it is a maybe."
        )
    lines += _ways(a, units)
    lines += [_wrapped(_line(need, units)) for need in a.lines]
    lines += [_wrapped(text) for length in at_hand for text in _rope_at_hand(a, length, units)]
    if a.outlooks:
        lines += ["", _table(a, units)]
    if a.left_out:
        names = [f"{clean(p.name, _NAME)}{f' ({p.role.name})' if p.role.name else ''}" for p in a.left_out]
        shown = ", ".join(names[:12]) + (f" and {len(names) - 12} more" if len(names) > 12 else "")
        lines.append(_wrapped(f"Neither on the rope nor hauling here: {shown}."))
    return "\n".join(lines)


def _asked_of(a: RigAnswer, units: Units) -> str:
    from ropewright.quantity import show_force

    whom = "The load as in the file" if a.of_load else "Each in the place of the load"
    if a.crew is None:
        return whom
    crew = f"{a.crew.count} {'hauler' if a.crew.count == 1 else 'haulers'} {a.crew.said}"
    gives = f"{show_force(a.crew.best, units)} at best case"
    if a.crew.sustained != a.crew.best:
        gives += f", {show_force(a.crew.sustained, units)} sustained"
    return f"{whom}, {crew} ({gives} together)"


def _ways(a: RigAnswer, units: Units) -> list[str]:
    """How the motions are made: they are the same for everybody, but for the number of pulls."""
    from ropewright.quantity import show_length

    out = []
    for ask in a.outlooks[0].asks if a.outlooks else ():
        made = ask.strokes
        text = f"{'Haul' if ask.direction > 0 else 'Lower'} {show_length(made.asked, units)}: "
        text += f"{show_length(ask.rope, units)} of rope through the hands"
        if ask.hands > 1:
            text += f" at each of {ask.hands} ropes"
        if ask.direction > 0:
            pulls = _whole([p for o in a.outlooks for each in o.asks for p in [each.pulls] if p])
            text += f" in {pulls} pulls" if pulls else ""
            text += f", {_resets(ask, units)}"
        out.append(_wrapped(f"{text}."))
    return out


def _resets(ask: Ask, units: Units) -> str:
    from ropewright.quantity import show_length

    made = ask.strokes
    if made.resets is None:
        return f"and no way to reset after {show_length(made.reach, units)}"
    if made.resets == 0:
        return "no reset"
    times = "one reset" if made.resets == 1 else f"{made.resets} resets"
    return f"{times} of {clean(made.grab)}, a stroke being {show_length(made.reach, units)}"


def _whole(ranges: Sequence[Range]) -> str:
    if not ranges:
        return ""
    low, high = round(min(r.low for r in ranges)), round(max(r.high for r in ranges))
    return f"{max(1, low)}" if high <= max(1, low) else f"{max(1, low)}–{high}"


def _line(need: LineNeed, units: Units) -> str:
    from ropewright.quantity import show_length

    def length(metres: float) -> str:
        return show_length(metres, units)

    has = "its length is not stated" if need.has is None else f"has {length(need.has)}"
    text = f"Rope {clean(need.rope)} needs {length(need.needed)}, {has}"
    if need.has is not None:
        text += ": enough" if need.is_enough(need.has) else ": refused"
    parts = [f"{length(need.runs)} as it hangs and runs"]
    if need.paid:
        parts.append(f"{length(need.paid)} paid out on the way")
    if need.spare:
        where = " behind the releasable anchor" if need.releasable else ""
        parts.append(f"{length(need.spare)} spare{where}")
    parts.append(f"{length(need.behind + need.knots + need.tail)} for anchor, knots and tail")
    if not need.ground:
        parts.append("no ground is drawn below it")
    return f"{text} ({', '.join(parts)})."


def _rope_at_hand(a: RigAnswer, length: float, units: Units) -> list[str]:
    from ropewright.quantity import show_length

    short = [need for need in a.lines if not need.is_enough(length)]
    if not a.lines:
        return []
    if not short:
        return [f"A rope of {show_length(length, units)} does for every line here."]
    needs = ", ".join(f"{clean(n.rope)} needs {show_length(n.needed, units)}" for n in short)
    return [f"A rope of {show_length(length, units)} is refused: {needs}."]


def _table(a: RigAnswer, units: Units) -> str:
    from ropewright.quantity import show_range

    notes = dict[str, int]()
    for o in a.outlooks:
        for reason in o.reasons:
            notes.setdefault(reason, len(notes) + 1)
    longest = max((o.asks for o in a.outlooks), key=len)
    head, right = ["who", "mass", "can"], [1]
    for ask in longest:
        head += _titles(ask)
        right += range(len(right) + 2, len(head))
    rows = []
    for o in a.outlooks:
        row = [clean(o.person.name, _NAME), show_range(o.person.mass, "mass", units), o.verdict]
        for k, shape in enumerate(longest):
            row += _cells(o.asks[k], units) if k < len(o.asks) else ["–"] * len(_titles(shape))
        rows.append([*row, ", ".join(str(notes[r]) for r in o.reasons)])
    table = render_table([*head, "why"], rows, right=right)
    told = [
        fill(clean(text), _WIDTH, initial_indent=f"{k:>3}  ", subsequent_indent="     ")
        for text, k in notes.items()
    ]
    return "\n".join([table, *told])


def _titles(ask: Ask) -> list[str]:
    if ask.direction < 0:
        return ["hold by hand"]
    if ask.himself:
        return ["pull by hand", "of weight", "at least"]
    return ["pull at the hand", "best case", "sustained", "at least"]


def _cells(ask: Ask, units: Units) -> list[str]:
    from ropewright.quantity import show_range

    force = show_range(ask.force, "force", units)
    if ask.direction < 0:
        return [force]
    if ask.himself:
        return [force, _percent(ask.share), _seconds(ask.time)]
    return [force, _haulers(ask.best), _haulers(ask.sustained), _seconds(ask.time)]


def _haulers(needed: Haulers | None) -> str:
    if needed is None:
        return "–"
    return (
        f"{needed.likely}" if needed.low == needed.high else f"{needed.likely} ({needed.low}–{needed.high})"
    )


def _percent(share: Range | None) -> str:
    if share is None:
        return "–"
    low, high = round(100 * share.low), round(100 * share.high)
    return f"{low} %" if low == high else f"{low}–{high} %"


def _seconds(time: Range | None) -> str:
    if time is None:
        return "–"
    if time.high < 90:
        return f"{max(1, round(time.low))}–{max(1, round(time.high))} s"
    return f"{time.low / 60:.1f}–{time.high / 60:.1f} min"


def _comparison(done: Sequence[_Answered], units: Units) -> str:
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
                *(str(count[v]) for v in _VERDICTS),
            )
        )
    table = render_table(head, rows, right=range(1, len(head)))
    return f"{table}\nlimit: not tested - equipment limit."


def _least(done: Sequence[_Answered], least: Least, units: Units) -> str:
    name = {id(each.answer): clean(each.path.name) for each in done}
    if least.does and least.differs:
        return _unlike(least, name, units)
    if least.chosen is not None and least.sure:
        return _wrapped(f"The least rig that everybody on the list can work: {name[id(least.chosen)]}.")
    if least.chosen is not None:
        who = _names(least.doubtful)
        return _wrapped(
            f"No rig is a yes for everybody. The least that nobody fails: {name[id(least.chosen)]}; "
            f"maybe for {who}."
        )
    lines = ["No rig here does for everybody on the list."]
    for a, fails in least.fails:
        why = "; ".join(dict.fromkeys(r for o in fails for r in o.reasons[:1]))
        lines.append(_wrapped(f"{name[id(a)]} fails {_names(fails) if fails else 'all'}: {clean(why)}"))
    return "\n".join(lines)


def _unlike(least: Least, name: Mapping[int, str], units: Units) -> str:
    """Rigs for unlike jobs: in what they differ, and which can be worked, but not which is the least."""
    lines = [_wrapped(f"The jobs differ in {_difference(d, name, units)}.") for d in least.differs]
    who = "Everybody on the list can work" if least.sure else "Nobody surely, but nobody fails"
    order = ", least gear first" if len(least.does) > 1 else ""
    does = ", ".join(name[id(a)] for a in least.does)
    lines.append(_wrapped(f"So none of these rigs is called the least. {who}{order}: {does}."))
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


def _names(outlooks: Sequence[Outlook]) -> str:
    names = [clean(o.person.name, _NAME) for o in outlooks]
    return ", ".join(names[:8]) + (f" and {len(names) - 8} more" if len(names) > 8 else "")


def _counted_on(done: Sequence[_Answered], units: Units) -> str:
    """The figures behind the verdicts, with where they come from."""
    from ropewright.catalogue import CONFIDENCE
    from ropewright.effort import load_profiles
    from ropewright.quantity import show_range

    asks = [ask for each in done for o in each.answer.outlooks for ask in o.asks]
    wanted = list[str]()
    if any(ask.best for ask in asks):
        wanted += ["hauler-best-case", "hauler-sustained", "hauler-reach"]
    if any(ask.himself and ask.direction > 0 for ask in asks):
        wanted += ["self-haul-share", "self-haul-reach"]
    if any(ask.direction < 0 for ask in asks):
        wanted.append("grip-one-hand")
    if any(ask.time for ask in asks):
        wanted.append("power")
    lines = ["Counted on"]
    for name in wanted:
        p = load_profiles()[name]
        shown = f"{p.value.low:g}–{p.value.high:g} {p.unit}"
        if p.unit in ("N", "m"):
            shown = show_range(p.value, "force" if p.unit == "N" else "length", units)
        elif not p.unit:
            shown = f"{100 * p.value.low:.0f}–{100 * p.value.high:.0f} %"
        sure = "" if "no source" in p.source else f" ({CONFIDENCE[p.confidence]})"
        note = f"; {p.note}" if p.note else ""
        text = f"{name}: {shown}. {p.source}{sure}{note}."
        lines.append(fill(text, _WIDTH, initial_indent="  ", subsequent_indent="    "))
    lines.append(
        fill(
            "Strengths and single failures are not worked out here: `ropewright check` does that, for the "
            "mass in the file.",
            _WIDTH,
            initial_indent="  ",
            subsequent_indent="    ",
        )
    )
    return "\n".join(lines)


def _wrapped(text: str) -> str:
    return fill(text, _WIDTH, subsequent_indent="  ", break_on_hyphens=False)
