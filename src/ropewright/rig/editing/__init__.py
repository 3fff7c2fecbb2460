"""Changing a rig by its tables: each act is one change of the text, which keeps its comments and order.

Every function takes a text and gives the changed text. It raises EditError where the act makes no sense,
with a sentence for whoever asked, and UnreadableError where the text can't be followed as YAML at all. Faults
of meaning, as a rope that nothing ends, are no hindrance: the tables are where they are mended.
"""

from ropewright.rig.editing.figures import add_figure, change_figure, remove_figure
from ropewright.rig.editing.heading import change_heading
from ropewright.rig.editing.meaning import Meant, check_meaning
from ropewright.rig.editing.motions import add_motion, change_motion, remove_motion
from ropewright.rig.editing.names import Use
from ropewright.rig.editing.page import EditError, UnreadableError
from ropewright.rig.editing.parts import (
    InUseError,
    add_part,
    add_rope,
    change_part,
    remove_part,
    rename_part,
)
from ropewright.rig.editing.rules import add_rule, change_rule, remove_rule
from ropewright.rig.editing.runs import add_contact, change_contact, move_contact, remove_contact

__all__ = [
    "EditError",
    "InUseError",
    "Meant",
    "UnreadableError",
    "Use",
    "add_contact",
    "add_figure",
    "add_motion",
    "add_part",
    "add_rope",
    "add_rule",
    "change_contact",
    "change_figure",
    "change_heading",
    "change_motion",
    "change_part",
    "change_rule",
    "check_meaning",
    "move_contact",
    "remove_contact",
    "remove_figure",
    "remove_motion",
    "remove_part",
    "remove_rule",
    "rename_part",
]
