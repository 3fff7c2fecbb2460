"""The rig file: what is rigged, read into frozen parts and written back."""

from ropewright.rig.clipped import clipped_on, clipped_to, hangs_on
from ropewright.rig.faults import Fault, RigFileError
from ropewright.rig.model import (
    Contact,
    Crew,
    Gear,
    GearState,
    Load,
    LoadKind,
    Motion,
    Part,
    Place,
    PlaceKind,
    Point,
    PolicyValue,
    Rig,
    Rope,
    TeamPolicy,
    Verb,
)
from ropewright.rig.overrides import read_rule
from ropewright.rig.policy import POLICY_KEYS, PolicyKey
from ropewright.rig.reader import read_rig
from ropewright.rig.schema import rig_schema
from ropewright.rig.starter import STARTER_KINDS, Answers, StarterError, StarterKind, starter_text
from ropewright.rig.writer import write_rig

__all__ = [
    "POLICY_KEYS",
    "STARTER_KINDS",
    "Answers",
    "Contact",
    "Crew",
    "Fault",
    "Gear",
    "GearState",
    "Load",
    "LoadKind",
    "Motion",
    "Part",
    "Place",
    "PlaceKind",
    "Point",
    "PolicyKey",
    "PolicyValue",
    "Rig",
    "RigFileError",
    "Rope",
    "StarterError",
    "StarterKind",
    "TeamPolicy",
    "Verb",
    "clipped_on",
    "clipped_to",
    "hangs_on",
    "read_rig",
    "read_rule",
    "rig_schema",
    "starter_text",
    "write_rig",
]
