"""The mechanical model: points, ropes, contacts; what moves them, what they bear, what holds when
something lets go.
"""

from .catch import spring_peak
from .doubt import SAMPLES, draw, importance, solve_samples
from .errors import MechanicsError, NoSolutionError
from .hung import Hung, hang_at_rest, hang_rig
from .model import GRAVITY, Contact, Drag, Holds, Rope, System, chord, wraps
from .motion import Motion, as_it_stands, move
from .moving import Friction, Moving, Stance, friction_of, solve_moving
from .programme import Cap, Limit, can_rest, led_to_hands, limit, rest_bounds
from .raising import at_height, hand_strands
from .rates import Rates
from .reach import Run, connected, held, touched
from .settle import Rest, settle
from .stuck import StuckError
from .travel import Travel, travel

__all__ = [
    "GRAVITY",
    "SAMPLES",
    "Cap",
    "Contact",
    "Drag",
    "Friction",
    "Holds",
    "Hung",
    "Limit",
    "MechanicsError",
    "Motion",
    "Moving",
    "NoSolutionError",
    "Rates",
    "Rest",
    "Rope",
    "Run",
    "Stance",
    "StuckError",
    "System",
    "Travel",
    "as_it_stands",
    "at_height",
    "can_rest",
    "chord",
    "connected",
    "draw",
    "friction_of",
    "hand_strands",
    "hang_at_rest",
    "hang_rig",
    "held",
    "importance",
    "led_to_hands",
    "limit",
    "move",
    "rest_bounds",
    "settle",
    "solve_moving",
    "solve_samples",
    "spring_peak",
    "touched",
    "travel",
    "wraps",
]
