"""The skill sheet of a procedure: steps to be marked, those critical with the reason that the model gave."""

from __future__ import annotations

from ropewright.procedure import Procedure

from .leaf import Blank, Block, Leaf, StepRow
from .model import Line
from .telling import Story, fail_if, fault_lines, leaf_of, said

__all__ = ["GRADES", "candidates", "grades", "skill_sheet"]

GRADES = ("met", "not met")
"""How a step is marked where the policy names no grades."""
SEEN, DONE = ("seen",), ("done",)
"""How a step of somebody who is not marked is ticked: his own check, and anything else that he does."""
MARKERS = ("evaluator", "instructor", "examiner", "assessor")
KEPT = 4
"""Steps that stay on the page of the result and the signatures."""
RESULTS = ("passed", "not passed", "stopped as dangerous", "not tested: limit of the gear")


def skill_sheet(story: Story) -> Leaf:
    """The sheet on which an evaluator marks one attempt of one candidate."""
    return leaf_of(
        story,
        "skill-sheet",
        "Skill sheet",
        (_head(story), _given(story), _steps(story), _rules(story), _close(story)),
    )


def grades(procedure: Procedure) -> tuple[str, ...]:
    """The grades of the rig file's policy or else of the team's, best first, by which each step is marked."""
    rig = procedure.rig
    text = rig.policy.get("grades") or (rig.team.rules.get("grades", (None, ""))[0] if rig.team else None)
    return tuple(part.strip() for part in text.split(",")) if isinstance(text, str) else GRADES


def candidates(procedure: Procedure) -> tuple[str, ...]:
    """Who is marked: those whose role says candidate or student, else everybody who does a step and does not
    mark; where only instructors do steps, they are the ones who are marked.
    """
    roles = {name: person.role.lower() for name, person in procedure.people.items()}
    for word in ("candidate", "student"):
        found = tuple(name for name, role in roles.items() if word in role)
        if found:
            return found
    doers = tuple(dict.fromkeys(step.doer for step in procedure.steps))
    told = {name: f"{name} {roles.get(name, '')}".lower() for name in doers}
    return tuple(n for n in doers if not any(word in told[n] for word in MARKERS)) or doers


def _head(story: Story) -> Block:
    p = story.procedure
    tries = f"of {p.attempts}" if p.attempts else ""
    rows = (
        (Blank("team"), Blank("level", p.level), Blank("standard and edition", p.standard, 2.0)),
        (Blank("candidate", "", 2.0), Blank("evaluator", "", 2.0), Blank("attempt", tries)),
        (Blank("site", "", 2.0), Blank("date"), Blank("weather")),
    )
    return Block("head", "", blanks=rows)


def _given(story: Story) -> Block:
    p = story.procedure
    lines = [Line(p.given, "Read aloud:") if p.given else Line("CONDITIONS NOT STATED", "", "", True)]
    lines.append(Line(f"{p.rig.rig}, checked row by row before anybody is on it", "Starting rig:"))
    gear = ", ".join([*(f"{g.name} ({g.type})" for g in p.kit.values()), *p.spare])
    if gear:
        lines.append(Line(gear, "Handed out:"))
    limit = f"{p.minutes} min" if p.minutes else "none set"
    tries = str(p.attempts) if p.attempts else "as the authority sets it"
    lines.append(Line(f"{limit}. Attempts: {tries}.", "Time limit:"))
    lines += [Line(rule, "Stop when:", "", True) for rule in p.stop_rules]
    lines.append(
        Line(
            "does not coach, prompt or show this sheet, and stops dangerous acts at once: this ends the try.",
            "The evaluator",
            "",
            True,
        )
    )
    return Block("given", "Conditions", tuple(lines))


def _steps(story: Story) -> Block:
    marked, marks = set(candidates(story.procedure)), grades(story.procedure)
    rows = tuple(
        StepRow(
            str(s.n),
            s.step.doer,
            said(story.procedure, s, story.units),
            fail_if(story, s.n),
            fault_lines(s.faults),
            marks if s.step.doer in marked else SEEN if s.step.is_check else DONE,
        )
        for s in story.proof.steps
    )
    return Block("steps", "Steps, in this order", steps=rows, kept=KEPT)


def _rules(story: Story) -> Block:
    best = grades(story.procedure)[0]
    lines = []
    if story.critical:
        numbers = ", ".join(str(n) for n in sorted(story.critical))
        text = f"{numbers}. A critical step that is not “{best}”: the attempt is not passed."
        lines.append(Line(text, "Critical steps:", "", True))
    else:
        lines.append(Line("none found by the model; the evaluator's own eye comes first", "Critical steps:"))
    lines.append(Line("by adding to it, signed and dated; nothing is struck out or written over.", "Amend"))
    return Block("rules", "Rules", tuple(lines))


def _close(story: Story) -> Block:
    del story
    rows = (
        (
            Blank("started"),
            Blank("ended"),
            Blank("total time, min"),
            Blank("paused: from, to and why", "", 2.5),
        ),
        (Blank("comment", "", 1.0, True),),
        (Blank("evaluator, signature", "", 1.0, True), Blank("second evaluator, signature", "", 1.0, True)),
        (Blank("candidate, signature", "", 1.0, True), Blank("lead instructor, signature", "", 1.0, True)),
    )
    result = StepRow("", "", "Result", boxes=RESULTS)
    return Block("close", "Result", blanks=rows, steps=(result,), together=True)
