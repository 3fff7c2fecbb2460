"""What the list of steps asks for, as changes of the text; and what it offers to write with."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict

from ropewright.procedure import editing
from ropewright.procedure.editing import EditError
from ropewright.procedure.forms import FORMS
from ropewright.rig import RigFileError
from ropewright.web.procedures.source import source_of

__all__ = ["ACTS", "Done", "act", "offered"]


@dataclass(frozen=True, slots=True)
class Done:
    """A changed text, what was done in words, and the row that it was done to, where the eye should go."""

    text: str
    told: str
    row: str = ""


def act(text: str, asked: QueryDict) -> Done:
    """Do what the list asks for. Errors: EditError, with a sentence for whoever asked."""
    name = asked.get("act", "")
    if name not in ACTS:
        raise EditError("that is nothing that the list can do; open the page anew")
    return ACTS[name](text, asked)


def _index(asked: QueryDict) -> int:
    given = asked.get("index", "")
    if not given.isdecimal() or len(given) > 6:
        raise EditError("that step can't be found; look at the steps again")
    return int(given)


def _add(text: str, asked: QueryDict) -> Done:
    index = min(_index(asked), len(editing.step_lines(text)))
    new = editing.add_step(text, index, asked.get("doer", ""), asked.get("words", ""))
    return Done(new, f"Step {index + 1} is added.", f"step-{index}")


def _change(text: str, asked: QueryDict) -> Done:
    index = _index(asked)
    new = editing.change_step(text, index, asked.get("doer", ""), asked.get("words", ""))
    told = f"Step {index + 1} is changed." if new != text else f"Step {index + 1} is as it was."
    return Done(new, told, f"step-{index}")


def _move(way: int) -> Callable[[str, QueryDict], Done]:
    def move(text: str, asked: QueryDict) -> Done:
        index = _index(asked)
        new = editing.move_step(text, index, way)
        return Done(new, f"It is step {index + way + 1} now.", f"step-{index + way}")

    return move


def _remove(text: str, asked: QueryDict) -> Done:
    index = _index(asked)
    return Done(
        editing.remove_step(text, index), f"Step {index + 1} is removed.", f"step-{max(0, index - 1)}"
    )


ACTS: Mapping[str, Callable[[str, QueryDict], Done]] = {
    "add step": _add,
    "change step": _change,
    "step up": _move(-1),
    "step down": _move(1),
    "remove step": _remove,
}


def offered(text: str) -> dict[str, Any]:
    """The steps of a text, who may do them, what they may name, and every form that a line may take.

    Errors: UnreadableError, EditError.
    """
    steps = editing.step_lines(text)
    doers, names = dict.fromkeys(step.doer for step in steps if step.doer), list[str]()
    try:
        read = source_of(text).read()
    except RigFileError:
        pass  # the names are a help; the list is there without them
    else:
        doers |= dict.fromkeys(read.people)
        parts = (*read.rig.gear, *read.kit, *read.rig.ropes, *read.spare, *read.rig.points, *read.rig.loads)
        names = list(dict.fromkeys(parts))
    return {"steps": steps, "doers": list(doers), "names": names, "forms": FORMS}
