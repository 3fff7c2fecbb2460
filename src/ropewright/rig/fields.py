"""The kinds of value that a rig file holds, each read into SI with one sentence where it can't be."""

import re
from collections.abc import Callable
from typing import Annotated, Any, TypeVar

from pydantic import PlainValidator, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from ropewright.catalogue.profiles import pulls
from ropewright.quantity import Kind, QuantityError, Range, Sign, System, read_quantity
from ropewright.rig.faults import nearest, shown
from ropewright.rig.model import Point
from ropewright.rig.yamltext import hidden_character, is_blank

__all__ = [
    "FURTHEST",
    "UNIT_NOTE",
    "About",
    "Count",
    "Distance",
    "Force",
    "GearPlace",
    "Mass",
    "Name",
    "Position",
    "Pull",
    "RopeLength",
    "Title",
    "TypeName",
    "TypeNames",
    "choice",
    "figure",
    "in_one_sentence",
    "is_name",
    "plain_words",
    "stated",
]  # fmt: skip

FURTHEST = 2000.0  # m from the origin, and the longest rope; beyond it a figure is a slip of the pen
LONGEST_NAME = 60
LONGEST_TITLE = 200
LONGEST_ABOUT = 2000
NAME_PATTERN = r"^\w[\w-]*$"
TYPE_PATTERN = r"^\w[\w.-]*$"
UNIT_NOTE = "A bare number is in the file's units; a unit may be written behind it, as in `30 ft`."

_T = TypeVar("_T")


def stated(text: str) -> PydanticCustomError:
    """Make the error that carries our own sentence through the document model."""
    return PydanticCustomError("stated", "{text}", {"text": text})


def in_one_sentence(read: Callable[[Any, System], _T]) -> PlainValidator:
    """Turn a reading function into a validator that knows the file's units and keeps the sentence."""

    def validate(value: Any, info: ValidationInfo) -> _T:
        system: System = (info.context or {}).get("system", "metric")
        try:
            return read(value, system)
        except QuantityError as error:
            raise stated(str(error)) from None

    return PlainValidator(validate)


def figure(value: Any, kind: Kind, system: System, sign: Sign | None = None) -> Range:
    """Read one figure, after making sure that the text can be quoted back."""
    if isinstance(value, str) and hidden_character(value):
        raise QuantityError(f"found the hidden character {hidden_character(value)} in a figure")
    return read_quantity(value, kind, system, sign=sign)


def is_name(value: str) -> bool:
    """Whether a word can name a part: letters, digits, `-` and `_`, at most 60 of them."""
    return len(value) <= LONGEST_NAME and re.match(NAME_PATTERN, value) is not None


def choice(value: Any, words: tuple[str, ...]) -> str:
    """Read one of a few words."""
    if isinstance(value, str) and value in words:
        return value
    close = nearest(value, words) if isinstance(value, str) else None
    did = f". Did you mean `{close}`?" if close else ""
    raise stated(f"found {shown(value)}; it is one of {', '.join(words)}{did}")


def _single(value: Any, kind: Kind, system: System, sign: Sign) -> float:
    found = figure(value, kind, system, sign)
    if not found.is_single:
        raise QuantityError(f"found {shown(value)}; this is one figure, not a range")
    return found.likely


def _length_up_to(noun: str) -> Callable[[Any, System], float]:
    def read(value: Any, system: System) -> float:
        length = _single(value, "length", system, "above-zero")
        if length > FURTHEST:
            raise QuantityError(
                f"found {shown(value)}, {length:,.0f} m; {noun} is at most {FURTHEST:,.0f} m here"
            )
        return length

    return read


def _position(value: Any, system: System) -> Point:
    if not isinstance(value, list) or len(value) not in (2, 3):
        found = f"a list of {len(value)}" if isinstance(value, list) else shown(value)
        raise stated(f"found {found}; a place is [x, z] or [x, y, z], as in [0, 9]")
    numbers = [_coordinate(item, system) for item in value]
    return (numbers[0], 0.0 if len(numbers) == 2 else numbers[1], numbers[-1])


def _coordinate(value: Any, system: System) -> float:
    number = _single(value, "length", system, "any")
    if abs(number) > FURTHEST:
        raise QuantityError(f"found {shown(value)} in a place; it is within {FURTHEST:,.0f} m of the origin")
    return number + 0.0  # -0.0 would be written back with its sign


def _gear_place(value: Any, system: System) -> str | Point:
    if isinstance(value, list):
        return _position(value, system)
    return _name(value, system)


def _name(value: Any, _: System) -> str:
    if isinstance(value, int) and not isinstance(value, bool):
        value = str(value)
    if not isinstance(value, str) or not is_name(value):
        raise stated(
            f"found {shown(value)} where a name is wanted; a name is one word of letters, digits, - and _"
        )
    return value


def _type_name(value: Any, _: System) -> str:
    if not isinstance(value, str) or not re.match(TYPE_PATTERN, value) or len(value) > LONGEST_NAME:
        raise stated(f"found {shown(value)} where a catalogue type is wanted, as in pulley-single")
    return value


def _type_names(value: Any, system: System) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise stated(f"found {shown(value)}; write a list of types, as in [sling, carabiner-locking]")
    return tuple(_type_name(item, system) for item in value)


def _text(longest: int, lines: bool) -> Callable[[Any, System], str]:
    def read(value: Any, _: System) -> str:
        if not isinstance(value, str):
            raise stated(f"found {shown(value)} where words are wanted; put it in quotes")
        if len(value) > longest:
            raise stated(f"found {len(value):,} characters; at most {longest:,} fit on a card")
        hidden = hidden_character(value)
        if hidden:
            raise stated(f"found the hidden character {hidden}; write words without it")
        if is_blank(value):
            raise stated("found an empty text; write some words or leave the key out")
        return value.strip() if lines else " ".join(value.split())

    return read


def plain_words(value: Any, longest: int = LONGEST_ABOUT) -> str:
    """Read words on one line; PydanticCustomError with a sentence where they are none."""
    return _text(longest, lines=False)(value, "metric")


def _count(value: Any, _: System) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100:
        raise stated(f"found {shown(value)}; people are counted as a whole number from 1 to 100")
    return value


def _pull(value: Any, system: System) -> Range | str:
    if isinstance(value, str) and is_name(value) and not value[0].isdigit():
        if value in pulls():
            return value
        raise QuantityError(f"found {shown(value)}; use a force, or one of {', '.join(pulls())}")
    found = figure(value, "force", system, "above-zero")
    if found.high > 2000:
        raise QuantityError(f"found {shown(value)} for each person; nobody pulls more than 2 kN")
    return found


def _quantity(kind: Kind, sign: Sign) -> PlainValidator:
    return in_one_sentence(lambda value, system: figure(value, kind, system, sign))


def _number(about: str) -> WithJsonSchema:
    return WithJsonSchema(
        {
            "anyOf": [{"type": "number"}, {"type": "string", "pattern": r"\d"}],
            "description": f"{about} {UNIT_NOTE}",
        }
    )


_LENGTH = {"anyOf": [{"type": "number"}, {"type": "string", "pattern": r"\d"}]}
_PLACE = {
    "type": "array", "items": _LENGTH, "minItems": 2, "maxItems": 3,
    "description": f"[x, z] or [x, y, z]: x to the right, y away, z up. {UNIT_NOTE}",
}  # fmt: skip
_NAME = {"type": ["string", "integer"], "pattern": NAME_PATTERN, "maxLength": LONGEST_NAME}


_TYPE = {"type": "string", "pattern": TYPE_PATTERN, "maxLength": LONGEST_NAME}


def _words(longest: int) -> WithJsonSchema:
    return WithJsonSchema({"type": "string", "minLength": 1, "maxLength": longest})


Mass = Annotated[Range, _quantity("mass", "above-zero"), _number("A mass, or a range such as 80..95.")]
Force = Annotated[Range, _quantity("force", "above-zero"), _number("A force, or a range such as 22..25 kN.")]
Pull = Annotated[
    Range | str,
    in_one_sentence(_pull),
    WithJsonSchema(
        {"type": ["number", "string"], "description": f"A force, or one of {', '.join(pulls())}. {UNIT_NOTE}"}
    ),
]
RopeLength = Annotated[float, in_one_sentence(_length_up_to("a rope")), _number("A length.")]
Distance = Annotated[float, in_one_sentence(_length_up_to("a distance")), _number("A distance, above zero.")]
Position = Annotated[Point, in_one_sentence(_position), WithJsonSchema(_PLACE)]
GearPlace = Annotated[str | Point, in_one_sentence(_gear_place), WithJsonSchema({"anyOf": [_NAME, _PLACE]})]
Name = Annotated[str, in_one_sentence(_name), WithJsonSchema(_NAME)]
TypeName = Annotated[str, in_one_sentence(_type_name), WithJsonSchema(_TYPE)]
TypeNames = Annotated[
    tuple[str, ...], in_one_sentence(_type_names), WithJsonSchema({"type": "array", "items": _TYPE})
]
Title = Annotated[str, in_one_sentence(_text(LONGEST_TITLE, lines=False)), _words(LONGEST_TITLE)]
About = Annotated[str, in_one_sentence(_text(LONGEST_ABOUT, lines=True)), _words(LONGEST_ABOUT)]
Count = Annotated[
    int, in_one_sentence(_count), WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 100})
]
