"""Putting other people's words on a terminal without letting them drive it."""

import unicodedata

__all__ = ["clean", "width"]

_LONGEST = 500  # characters of one text; more says nothing on a terminal


def clean(text: str, longest: int = _LONGEST) -> str:
    r"""Return one line that is harmless to print.

    Control characters, line breaks, marks that turn the direction of writing, and characters that can't be
    encoded come out as escapes such as \x1b or \u202e; what is longer than `longest` is cut with an ellipsis.
    """
    shown = "".join(map(_shown, text[: longest + 1]))
    return shown if len(text) <= longest else f"{shown[:longest]}…"


def width(text: str) -> int:
    """Return the number of columns that a cleaned text takes: wide characters two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(_columns(character) for character in text)


def _columns(character: str) -> int:
    if unicodedata.combining(character) or unicodedata.category(character) == "Mn":
        return 0
    return 2 if unicodedata.east_asian_width(character) in {"W", "F"} else 1


def _shown(character: str) -> str:
    # Cc control, Cf format (all direction marks), Cs half a surrogate pair, Co private, Cn unassigned,
    # Zl and Zp line and paragraph separators
    if character.isascii():
        return character if character.isprintable() else f"\\x{ord(character):02x}"
    if unicodedata.category(character) in {"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"}:
        code = ord(character)
        return f"\\u{code:04x}" if code < 0x10000 else f"\\U{code:08x}"
    return character
