"""What `ropewright who` takes and prints: the people and ropes that are given, and the page in text."""

from .given import people_of, ropes_of
from .page import page
from .words import Answered

__all__ = ["Answered", "page", "people_of", "ropes_of"]
