"""What the interface answers with. Figures are in SI, whatever the team shows first; null is *not stated*."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from ninja import Field, Schema

__all__ = ["Detail", "ItemOut", "PersonOut", "RigOut", "RigWhole"]


class Detail(Schema):
    """Why there is no answer."""

    detail: str


class RigOut(Schema):
    """A rig in a list."""

    name: str = Field(description="its name in addresses and procedure files")
    title: str
    about: str
    version: int
    changed: datetime


class RigWhole(RigOut):
    """A rig with its text and what follows from it."""

    text: str = Field(description="the rig file")
    policy: str = Field(description="the rules that it was judged by, with their version")
    within_policy: bool | None = Field(description="null where the text can't be used")
    own_rules: str = Field(description="rules of the text's own, each with what the team asks")
    faults: list[dict[str, Any]] = Field(description="what is wrong with the text: line, column, text")
    report: dict[str, Any] | None = Field(description="as `ropewright check --json` prints it; N, m, kg")
    caution: str


class ItemOut(Schema):
    """A piece of gear."""

    mark: str
    type: str
    name: str
    state: str = Field(description="in service, issued, due, quarantined or retired")
    reason: str
    length_m: float | None
    strength_n: float | None
    working_load_n: float | None
    user_mass_kg: float | None
    standard: str
    grade: str
    serial: str
    made: date | None
    bought: date | None
    first_used: date | None
    inspected: date | None
    next_due: date | None
    place: str
    kit: str
    front_line: bool


class PersonOut(Schema):
    """Somebody on the roster. Mass, pull, reach and limits are null unless the token's owner may see them."""

    id: int
    name: str
    duty: str
    active: bool
    on_rope: bool
    hauls: bool
    mass_kg: float | None
    pull_n: float | None
    reach_m: float | None
    limits: str | None
    skills: list[str]
