"""What the tables of the editor ask for, as changes of the text."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.http import QueryDict

from ropewright.rig import editing
from ropewright.rig.editing import EditError
from ropewright.rig.editing.heading import HEADING
from ropewright.rig.editing.rows import contact_words
from ropewright.rig.editing.words import FIELDS, NOTHING
from ropewright.web.rigs.acting_checked import checked
from ropewright.web.rigs.acting_stated import ACTS_STATED
from ropewright.web.rigs.done import Done
from ropewright.web.workings.engine import catalogue

__all__ = ["ACTS", "act"]


def act(text: str, asked: QueryDict) -> Done:
    """Do what the tables ask for. Errors: EditError, with a sentence for whoever asked."""
    name = asked.get("act", "")
    if name not in ACTS:
        raise EditError("that is nothing that the tables can do; open the page anew")
    return checked(text, ACTS[name](text, asked), {key: asked.get(key, "") for key in asked})


def _fields(section: str, asked: QueryDict) -> dict[str, str]:
    """What stands in the fields of a form; several choices of one key are a list."""
    values = {}
    for field in FIELDS.get(section, ()):
        chosen = asked.getlist(f"f-{field.key}")
        if chosen:
            some = [word for word in chosen if word.strip()]
            values[field.key] = NOTHING if NOTHING in some else ", ".join(some)
    return values


def _contact(asked: QueryDict) -> str:
    keys = ("verb", "target", "sheave", "knot", "slack", "reversed")
    return contact_words({key: asked.get(f"c-{key}", "") for key in keys})


def _index(asked: QueryDict) -> int:
    given = asked.get("index", "")
    if not given.isdecimal() or len(given) > 6:
        raise EditError("that contact can't be found; look at the run again")
    return int(given)


def _change_heading(text: str, asked: QueryDict) -> Done:
    values = {field.key: asked.get(f"f-{field.key}", "") for field in HEADING if f"f-{field.key}" in asked}
    new = editing.change_heading(text, values)
    return Done(
        new, "Title and words are changed." if new != text else "Title and words are as they were.", "heading"
    )


def _add_part(text: str, asked: QueryDict) -> Done:
    section, name = asked.get("section", ""), asked.get("name", "").strip()
    new = editing.add_part(text, section, name, _fields(section, asked), catalogue())
    return Done(new, f"{name} is added.", f"part-{name}")


def _change_part(text: str, asked: QueryDict) -> Done:
    section, name = asked.get("section", ""), asked.get("part", "")
    new_name = asked.get("name", name).strip()
    new = editing.change_part(text, name, _fields(section, asked))
    told = f"{name} is changed." if new != text else f"{name} is as it was."
    if new_name != name:
        new = editing.rename_part(new, name, new_name, catalogue())
        told = f"{name} is now {new_name}, wherever it is named."
    return Done(new, told, f"part-{new_name}")


def _remove_part(text: str, asked: QueryDict) -> Done:
    name = asked.get("part", "")
    new = editing.remove_part(text, name, catalogue(), with_uses=asked.get("along") == "yes")
    return Done(new, f"{name} is removed.")


def _add_rope(text: str, asked: QueryDict) -> Done:
    name = asked.get("name", "").strip()
    run = [_contact(asked), "tail"]
    new = editing.add_rope(text, name, _fields("ropes", asked), run, catalogue())
    return Done(new, f"{name} is added. Add what it meets, in order, before its end.", f"part-{name}")


def _add_contact(text: str, asked: QueryDict) -> Done:
    rope, index, words = asked.get("rope", ""), _index(asked), _contact(asked)
    return Done(
        editing.add_contact(text, rope, index, words), f"{words} is added.", f"contact-{rope}-{index}"
    )


def _change_contact(text: str, asked: QueryDict) -> Done:
    rope, index, words = asked.get("rope", ""), _index(asked), _contact(asked)
    new = editing.change_contact(text, rope, index, words)
    return Done(new, f"{words} stands there now.", f"contact-{rope}-{index}")


def _move(step: int) -> Callable[[str, QueryDict], Done]:
    def move(text: str, asked: QueryDict) -> Done:
        rope, index = asked.get("rope", ""), _index(asked)
        new = editing.move_contact(text, rope, index, step)
        way = "towards the start" if step < 0 else "towards the end"
        return Done(new, f"Moved {way} of {rope}.", f"contact-{rope}-{index + step}")

    return move


def _remove_contact(text: str, asked: QueryDict) -> Done:
    rope, index = asked.get("rope", ""), _index(asked)
    return Done(editing.remove_contact(text, rope, index), f"Taken out of {rope}.", f"part-{rope}")


ACTS: Mapping[str, Callable[[str, QueryDict], Done]] = {
    "change heading": _change_heading,
    "add part": _add_part,
    "change part": _change_part,
    "remove part": _remove_part,
    "add rope": _add_rope,
    "add contact": _add_contact,
    "change contact": _change_contact,
    "contact up": _move(-1),
    "contact down": _move(1),
    "remove contact": _remove_contact,
    **ACTS_STATED,
}
