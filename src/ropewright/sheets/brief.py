"""The briefing of a procedure: who, with what, what is called, what is done, what stops it."""

from __future__ import annotations

from collections.abc import Iterator

from .leaf import Block, Leaf, StepRow
from .model import Line
from .telling import ALWAYS, Story, fail_if, fault_lines, leaf_of, said
from .words import counted, listed

__all__ = ["brief"]


def brief(story: Story) -> Leaf:
    """What is said to everybody before it begins."""
    blocks = (
        _start(story),
        _roles(story),
        _calls(story),
        _gear(story),
        _stops(story),
        _steps(story),
        _cautions(story),
        _missing(story),
    )
    return leaf_of(story, "brief", "Briefing", blocks)


def _start(story: Story) -> Block | None:
    p = story.procedure
    lines = [Line(f"{p.rig.rig} ({p.rig_file})", "Starts from:")]
    lines += [Line(f"{load} stands at {place}") for load, place in p.stands.items()]
    if p.given:
        lines.append(Line(p.given, "Given:"))
    if p.minutes:
        lines.append(Line(f"{p.minutes} min", "Time:"))
    lines += _least(story)
    return Block("start", "Where it starts", tuple(lines))


def _least(story: Story) -> Iterator[Line]:
    """The fewest chains that hold each person at any moment."""
    asked = story.world.policy.number("chains") or 0
    moments = [story.proof.start_held, *(s.held for s in story.proof.steps)]
    for name in dict.fromkeys(n for held in moments for n in held):
        found = [(held[name], n) for n, held in enumerate(moments) if name in held]
        chains, at = min((held.chains, n) for held, n in found)
        alone, bare = min((held.hands_off, n) for held, n in found)
        if not alone:
            text = f"{counted(chains, 'chain')}, NONE with hands off at {_moment(bare)}"
            text = text if chains else f"NO CHAIN THAT COUNTS at {_moment(at)}"
            yield Line(text, f"{name}, at the worst:", "", True)
        elif chains < asked:
            text = f"{counted(chains, 'chain')} at {_moment(at)}, {asked:.0f} asked for"
            yield Line(text, f"{name}, at the worst:", "", True)
        else:
            text = f"{counted(chains, 'chain')} at every step, {alone} with hands off"
            yield Line(text, f"{name} is held by at least")


def _moment(n: int) -> str:
    return f"step {n}" if n else "the start"


def _roles(story: Story) -> Block | None:
    p = story.procedure
    doers = list(dict.fromkeys([*p.people, *(step.doer for step in p.steps)]))
    rows = []
    for name in doers:
        person = p.people.get(name)
        load, crew = p.rig.loads.get(name), p.rig.crews.get(name)
        what = person.role if person else ""
        if not what:
            what = load.kind if load else f"crew of {crew.people}" if crew else ""
        where = person.at if person and person.at else p.stands.get(name, "on the rope" if load else "")
        own = [str(n) for n, step in enumerate(p.steps, 1) if step.doer == name]
        rows.append((name, what or "–", where or "–", _runs(own) or "–", ""))
    head = ("who", "role", "where", "does steps", "name today")
    return Block("roles", "Roles", head=head, table=tuple(rows)) if rows else None


def _runs(numbers: list[str]) -> str:
    """`1–4, 7`: numbers that follow each other told together."""
    out: list[list[int]] = []
    for n in map(int, numbers):
        if out and out[-1][1] == n - 1:
            out[-1][1] = n
        else:
            out.append([n, n])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in out)


def _calls(story: Story) -> Block | None:
    """What is called, by whom, at which step; words of the team that no step calls come after."""
    p = story.procedure
    rows = []
    for n, step in enumerate(p.steps, 1):
        if step.is_call:
            rows.append(
                (f"“{p.words.get(step.word, step.word)}”", _meaning(p.words, step.word), step.doer, str(n))
            )
    called = {step.word for step in p.steps if step.is_call}
    rows += [
        (f"“{own}”", word, *(("anybody", "any") if word == "stop" else ("–", "–")))
        for word, own in p.words.items()
        if word not in called
    ]
    if not any(word == "stop" for word in p.words):
        rows.append(("“stop”", "everybody stops and holds", "anybody", "any"))
    return Block("calls", "What is called", head=("word", "meaning", "by", "at step"), table=tuple(rows))


def _meaning(words: object, word: str) -> str:
    own = isinstance(words, dict) and words.get(word)
    return word if own and own != word else "–"


def _gear(story: Story) -> Block | None:
    p = story.procedure
    lines = []
    for item in p.kit.values():
        joins = f", with {listed(item.via)}" if item.via else ""
        lines.append(Line(f"{item.type}{joins}", f"{item.name}:"))
    for rope in p.spare.values():
        long = f", {_length(story, rope.length)}" if rope.length else ", LENGTH NOT STATED"
        lines.append(Line(f"{rope.type}{long}", f"{rope.name}:"))
    if not lines:
        lines.append(Line("nothing; all of it is on the rig at the start"))
    return Block("gear", "Gear brought along", tuple(lines))


def _length(story: Story, metres: float) -> str:
    from ropewright.quantity import show_length

    return show_length(metres, story.units)


def _stops(story: Story) -> Block:
    own = [Line(rule, "", "", True) for rule in story.procedure.stop_rules]
    return Block("stops", "What stops it", (*own, *(Line(rule) for rule in ALWAYS)))


def _steps(story: Story) -> Block:
    rows = tuple(
        StepRow(
            str(s.n),
            s.step.doer,
            said(story.procedure, s, story.units),
            fail_if(story, s.n),
            fault_lines(s.faults),
        )
        for s in story.proof.steps
    )
    return Block("steps", "Steps", steps=rows)


def _cautions(story: Story) -> Block | None:
    lines = fault_lines(story.proof.start_faults)
    return Block("cautions", "At the start already", lines) if lines else None


def _missing(story: Story) -> Block | None:
    """Checks to add, by what they would find."""
    lines = tuple(
        Line(
            f"before step {check.before}, {check.doer}: {check.proposed}",
            "",
            f"{check.mistake.what}: {check.mistake.text}; {check.text}",
        )
        for check in story.missing
    )
    return Block("missing", "Checks that would find what nobody looks for", lines) if lines else None
