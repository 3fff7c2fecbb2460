"""The storyboard of a procedure: a picture of each changed state, what was done and who is held."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from ropewright.drawing import Marked, Picture, Subject, draw_frame, subject_from, without_idle
from ropewright.judgement.components import joins_of
from ropewright.procedure import Held, Moment, Played
from ropewright.procedure.drawn import Changed, changed, rig_of
from ropewright.quantity import show_length

from .ink import printable
from .leaf import Block, Leaf, Scene, StepRow
from .model import Line
from .telling import Story, fail_if, fault_lines, held_words, leaf_of, said
from .words import listed

__all__ = ["LARGEST", "frame_of", "grouped", "scenes", "state_lines", "storyboard"]

LARGEST = (540.0, 560.0)
"""Width and height [pt] that one picture may take at the least type."""

AS_SAID = 0.03
"""Difference [m] up to which a load came as far as the step says."""


def storyboard(story: Story) -> Leaf:
    """All pictures in the order of the steps."""
    key = (
        Line(
            "the number in a ring stands at what that step changed; an arrow shows who moved, and which way.",
            "How to read it:",
        ),
        Line("A rope drawn wavy is slack. Pictures are not to scale, and long ropes are broken."),
    )
    return leaf_of(
        story, "storyboard", "Storyboard", (Block("scenes", "", key, scenes=tuple(scenes(story))),)
    )


def scenes(story: Story) -> Iterator[Scene]:
    """The start, then a scene for each step that changes something, with the steps after it that do not."""
    for first, what, steps in grouped(story):
        yield _scene(story, first, what, steps)


def grouped(story: Story) -> list[tuple[Played | None, Changed, list[Played]]]:
    """For each scene the step that begins it (None: the start), what that changed, and all its steps."""
    groups: list[tuple[Played | None, Changed, list[Played]]] = [(None, Changed(), [])]
    for played in story.proof.steps:
        what = changed(played.before, played.after, played.step)
        if what.anything:
            groups.append((played, what, [played]))
        else:
            groups[-1][2].append(played)
    return groups


def _scene(story: Story, first: Played | None, what: Changed, steps: list[Played]) -> Scene:
    moment = story.proof.start if first is None else first.after
    held = story.proof.start_held if first is None else steps[-1].held
    picture = printable(frame_of(story, moment, what, "" if first is None else str(first.n)))
    fits = picture.width <= LARGEST[0] and picture.height <= LARGEST[1]
    lines = [
        *(fault_lines(story.proof.start_faults) if first is None else ()),
        *state_lines(story, moment, what, held, first),
    ]
    return Scene(
        "Start" if first is None else "",
        picture if fits else None,
        tuple(_row(story, played) for played in steps),
        tuple(lines),
        "" if fits else "PICTURE LEFT OUT: too many parts for one page at a size that can be read.",
    )


def _row(story: Story, played: Played) -> StepRow:
    return StepRow(
        str(played.n),
        played.step.doer,
        said(story.procedure, played, story.units),
        fail_if(story, played.n),
        fault_lines(played.faults),
    )


def _rise(story: Story, rise: float, first: Played | None) -> str:
    """How far somebody came, in the step's own length where the model finds the same but for stretch."""
    by = first.step.by if first is not None else None
    far = by if by is not None and abs(abs(rise) - by) <= AS_SAID else abs(rise)
    return f"{show_length(far, story.units)} {'up' if rise > 0 else 'down'}"


def state_lines(
    story: Story, moment: Moment, what: Changed, held: Mapping[str, Held], first: Played | None
) -> Iterator[Line]:
    """What is to be said of a moment beside its picture: who moved, what bears, who is held by what."""
    hung = story.world.hang(moment)
    for name, rise in what.loads:
        yield Line(_rise(story, rise, first), f"{name}:")
    if what.gone:
        yield Line(listed(what.gone), "Off the rig:")
    if not hung.settled:
        yield Line("THE MODEL FINDS NO REST: drawn as it was left.", "", "", True)
    fallen = [n for n, is_held in hung.held.items() if not is_held and moment.standing(n) is None]
    for name in fallen:
        yield Line("NOTHING HOLDS IT: drawn where it was.", f"{name}:", "", True)
    weight = [
        name for name in hung.weight_on() if story.world.type_of(moment, name).family in ("device", "grab")
    ]
    if weight:
        yield Line(listed(weight), "Weight on:")
    for name, place in moment.stands:
        yield Line(f"stands at {place}", f"{name}:")
    yield from held_words({name: by for name, by in held.items() if name not in fallen})


def frame_of(story: Story, moment: Moment, what: Changed, tag: str) -> Picture:
    """A moment drawn small, with what a step changed marked by ``tag``."""
    subject = _subject(story, moment)
    hung = story.world.hang(moment)
    keep = tuple(place for _, place in moment.stands)
    stood = tuple(name for name in what.stood if name not in dict(what.loads))
    marked = Marked(tag, what.gear + stood, what.hands, what.ends, dict(what.loads), _notes(story, moment))
    ropes = (*story.procedure.rig.ropes, *story.procedure.spare)
    start = "the start" if not tag else f"step {tag}"
    weight = hung.weight_on()
    alt = f"The rig after {start}: {', '.join([*moment.rig.loads, *moment.rig.gear])}"
    alt += f"; weight on {listed(weight)}" if weight else ""
    seen = [
        *what.gear,
        *(f"{rope} at {part}" for rope, part in what.ends),
        *stood,
        *(f"the hand on {r}" for r in what.hands),
    ]
    alt += f"; ringed: {listed(seen)}" if seen else ""
    ways = [f"{name} {'up' if rise > 0 else 'down'}" for name, rise in what.loads]
    alt += f"; an arrow: {listed(ways)}." if ways else "."
    return draw_frame(without_idle(subject, keep), marked, story.units, alt, ropes)


def _subject(story: Story, moment: Moment) -> Subject:
    """What is drawn of a moment: at rest with its tensions, or as it was left where it finds no rest."""
    hung, catalogue = story.world.hang(moment), story.world.catalogue
    rest, rig = hung.rest, rig_of(moment)
    if rest is not None and hung.settled:
        at_rest = subject_from(hung.assembly, catalogue, "at rest", "", rest.position, rest.tension, {}, None)
        return replace(at_rest, rig=rig, stands=dict(moment.stands))
    position = hung.assembly.system.position
    left = subject_from(hung.assembly, catalogue, "as written", "no rest", position, None, {}, None)
    return replace(left, rig=rig, stands=dict(moment.stands))


def _notes(story: Story, moment: Moment) -> dict[str, tuple[str, ...]]:
    """What is to be known of a part that its sign does not show."""
    out: dict[str, tuple[str, ...]] = {}
    holds = dict(moment.holds)
    hung = story.world.hang(moment)
    for name, item in moment.rig.gear.items():
        words = []
        if name in holds:
            words += ["held open", f"by {holds[name]}"]
        elif item.state == "in-hand":
            words.append("HELD OPEN, NO HAND")
        if name in moment.unlocked:
            words.append("gate NOT LOCKED" if joins_of(moment.rig, name) else "NOT LOCKED")
        if words:
            out[name] = tuple(words)
    for name, held in hung.held.items():
        if not held and moment.standing(name) is None:
            out[name] = ("NOTHING HOLDS IT",)
    return out
