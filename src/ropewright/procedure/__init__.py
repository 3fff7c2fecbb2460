"""Procedures: steps in the trade's words, proved by asking the model at every moment who is held by what."""

from .model import CHECKS, Person, Procedure, Step
from .moment import Moment
from .prove import Held, Played, Proof, prove, run
from .reader import KEYS, keys_of, read_procedure
from .rules import KINDS, Fault
from .world import World, beginning

__all__ = [
    "CHECKS",
    "KEYS",
    "KINDS",
    "Fault",
    "Held",
    "Moment",
    "Person",
    "Played",
    "Procedure",
    "Proof",
    "Step",
    "World",
    "beginning",
    "keys_of",
    "prove",
    "read_procedure",
    "run",
]
