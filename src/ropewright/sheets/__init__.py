"""Printed sheets: what a rig card says, and its PDF."""

from .content import CAUTION, card_of
from .model import Card, CheckRow, Line, Paper, Print, Section, Table
from .press import MOST_PAGES, PressError, Printed, pages_png, print_card

__all__ = [
    "CAUTION",
    "MOST_PAGES",
    "Card",
    "CheckRow",
    "Line",
    "Paper",
    "PressError",
    "Print",
    "Printed",
    "Section",
    "Table",
    "card_of",
    "pages_png",
    "print_card",
]
