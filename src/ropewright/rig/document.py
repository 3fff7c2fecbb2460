"""The shape of a rig file: which keys stand where and what each takes. The JSON Schema is made from it."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from ropewright.quantity import System
from ropewright.rig.contacts import CONTACT_PATTERN, ContactError, read_contact
from ropewright.rig.fields import (
    NAME_PATTERN,
    About,
    Count,
    Distance,
    Force,
    GearPlace,
    Mass,
    Name,
    Position,
    Pull,
    RopeLength,
    Title,
    TypeName,
    TypeNames,
    choice,
    in_one_sentence,
    stated,
)
from ropewright.rig.model import Contact, GearState, LoadKind, PlaceKind
from ropewright.rig.policy import POLICY_KEYS

__all__ = [
    "NOUNS",
    "SECTIONS",
    "UNREAD",
    "UNREAD_CONTACT",
    "CrewIn",
    "Document",
    "GearIn",
    "LoadIn",
    "PlaceIn",
    "RopeIn",
    "keys_of",
]

# The sections that hold named parts, with what one part is called in a sentence.
NOUNS = {
    "points": "a point",
    "loads": "a load",
    "crews": "a crew",
    "gear": "a piece of gear",
    "ropes": "a rope",
}
SECTIONS = tuple(NOUNS)
# Stands in a run for a contact that could not be read, so that the rest of the run is still checked.
UNREAD = object()
UNREAD_CONTACT = Contact("tail", text="?")


def _one_of(*words: str) -> tuple[Any, ...]:
    return in_one_sentence(lambda value, _: choice(value, words)), WithJsonSchema({"enum": list(words)})


def _contact(value: Any, system: System) -> Contact:
    if value is UNREAD:
        return UNREAD_CONTACT
    try:
        return read_contact(value, system)
    except ContactError as error:
        raise stated(str(error)) from None


_PLACE_KIND = _one_of("anchor", "edge", "stand", "ground")
_LOAD_KIND = _one_of("person", "litter", "pack", "object")
_STATE = _one_of("running", "locked-off", "in-hand")
_UNITS = _one_of("metric", "us")
_RUN_ITEM = WithJsonSchema(
    {
        "type": "string",
        "pattern": CONTACT_PATTERN,
        "description": "tie X [with KNOT] | grip G | through G[.n] | over P | hand X | tail",
    }
)
_NAMED: dict[str, Any] = {"propertyNames": {"pattern": NAME_PATTERN, "maxLength": 60}}
_FIGURES = WithJsonSchema(
    {
        "type": "object",
        "additionalProperties": {
            "type": "object",
            "additionalProperties": {"anyOf": [{"type": "number"}, {"type": "string", "pattern": r"\d"}]},
        },
    }
)


def _policy_schema() -> dict[str, Any]:
    kinds: dict[str, Any] = {
        "count": {"type": "integer"},
        "yes-no": {"type": "boolean"},
        "words": {"type": "string"},
        "share": {"type": "number"},
    }
    figure = {"anyOf": [{"type": "number"}, {"type": "string", "pattern": r"\d"}]}
    return {
        "type": "object",
        "additionalProperties": False,
        "properties": {
            name: {**kinds.get(key.kind, figure), "description": key.about}
            for name, key in POLICY_KEYS.items()
        },
    }


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, populate_by_name=False)


class PlaceIn(_Strict):
    """A place fixed in the world: an anchor, an edge, somewhere to stand, or the ground."""

    kind: Annotated[PlaceKind, *_PLACE_KIND] = Field(description="anchor, edge, stand or ground")
    at: Position = Field(description="where it is, [x, z] or [x, y, z]")
    strength: Force | None = Field(None, description="the force it is rated for; left out, it is not known")
    surface: TypeName | None = Field(None, description="the surface that a rope touches, as in concrete")
    protection: TypeName | None = Field(None, description="what lies between rope and surface, as in roller")
    about: About | None = Field(None, description="words printed beside it")


class LoadIn(_Strict):
    """What hangs or moves."""

    kind: Annotated[LoadKind, *_LOAD_KIND] = Field(description="person, litter, pack or object")
    mass: Mass = Field(description="its mass with everything worn or packed")
    at: Position = Field(description="where it starts, [x, z] or [x, y, z]")
    wears: TypeName | None = Field(None, description="the body gear whose limits count, as in harness")
    about: About | None = Field(None, description="words printed beside it")


class CrewIn(_Strict):
    """People who pull on a rope at one place."""

    at: Position = Field(description="where they pull from, [x, z] or [x, y, z]")
    people: Count = Field(1, description="how many pull")
    pull: Pull | None = Field(None, description="the force each gives, or the name of a figure for it")
    about: About | None = Field(None, description="words printed beside it")


class GearIn(_Strict):
    """A piece of gear."""

    is_: TypeName = Field(alias="is", description="the catalogue type, as in pulley-single")
    at: GearPlace | None = Field(
        None, description="the name it is clipped to, or where it starts on its rope"
    )
    via: TypeNames | None = Field(
        None, description="the types that join it to its place, from the place outward"
    )
    over: TypeNames | None = Field(
        None, description="the edges that what joins it lies on, as a sling over a girder"
    )
    state: Annotated[GearState, *_STATE] = Field("running", description="running, locked-off or in-hand")
    about: About | None = Field(None, description="words printed beside it")


class RopeIn(_Strict):
    """A rope and what it meets, from the end made fast to the hand or the tail."""

    is_: TypeName = Field(alias="is", description="the catalogue type, as in rope-11-low-stretch")
    length: RopeLength | None = Field(None, description="how long the rope is")
    run: list[Annotated[Contact, in_one_sentence(_contact), _RUN_ITEM]] = Field(
        description="a list of contacts, as in `tie beam`, `through device`, `tail`"
    )
    about: About | None = Field(None, description="words printed beside it")


class HaulIn(_Strict):
    """What is to be raised."""

    load: Name = Field(description="the load that is raised")
    up: Distance = Field(description="how far up")


class LowerIn(_Strict):
    """What is to be lowered."""

    load: Name = Field(description="the load that is lowered")
    down: Distance = Field(description="how far down")


class Document(_Strict):
    """A rig file: what is rigged. Every number about it is worked out."""

    rig: Title = Field(description="what the rig is called")
    about: About | None = Field(None, description="one line on what it is for")
    units: Annotated[Literal["metric", "us"], *_UNITS] = Field(
        "metric", description="what a bare number means: metric (m, kg, kN) or us (ft, lb, lbf)"
    )
    points: dict[str, PlaceIn] = Field({}, description="places fixed in the world", json_schema_extra=_NAMED)
    loads: dict[str, LoadIn] = Field({}, description="what hangs or moves", json_schema_extra=_NAMED)
    crews: dict[str, CrewIn] = Field({}, description="who pulls from the ground", json_schema_extra=_NAMED)
    gear: dict[str, GearIn] = Field(
        {}, description="what is clipped or rides on rope", json_schema_extra=_NAMED
    )
    ropes: dict[str, RopeIn] = Field({}, description="how each rope runs", json_schema_extra=_NAMED)
    haul: HaulIn | None = Field(None, description="what is to be raised")
    lower: LowerIn | None = Field(None, description="what is to be lowered")
    assume: Annotated[dict[str, Any], _FIGURES] = Field(
        {}, description="figures that replace the catalogue's, by type or by a part's own name"
    )
    policy: Annotated[dict[str, Any], WithJsonSchema(_policy_schema())] = Field(
        {}, description="rules that replace the shipped policy's"
    )


def keys_of(model: type[BaseModel]) -> Mapping[str, str]:
    """Give the keys that a part of the file takes, each with what it is."""
    return {field.alias or name: field.description or "" for name, field in model.model_fields.items()}
