"""Who can work a rig: the pull against the people on hand, strokes, rope and time."""

from ropewright.effort.compare import Difference, Least, least_rig
from ropewright.effort.crew import Crew, Haulers, haulers, own_pull
from ropewright.effort.limits import MassLimit, mass_limits
from ropewright.effort.outlook import Ask, Outlook, RigAnswer, Verdict, answer
from ropewright.effort.profiles import Profile, Role, load_profiles, load_roles
from ropewright.effort.pulls import Prepared, hand_forces, prepare
from ropewright.effort.report import as_data
from ropewright.effort.ropes import lanes, line_needs
from ropewright.effort.roster import Person, RosterError, people_of_masses, read_roster

__all__ = [
    "Ask",
    "Crew",
    "Difference",
    "Haulers",
    "Least",
    "MassLimit",
    "Outlook",
    "Person",
    "Prepared",
    "Profile",
    "RigAnswer",
    "Role",
    "RosterError",
    "Verdict",
    "answer",
    "as_data",
    "hand_forces",
    "haulers",
    "lanes",
    "least_rig",
    "line_needs",
    "load_profiles",
    "load_roles",
    "mass_limits",
    "own_pull",
    "people_of_masses",
    "prepare",
    "read_roster",
]
