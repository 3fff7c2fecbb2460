"""Lines and paragraphs of a summary, wrapped and harmless to print."""

from collections.abc import Sequence
from textwrap import wrap

from ropewright.cli.table import render_table
from ropewright.cli.terminal import clean

__all__ = ["WIDTH", "heading", "item", "paragraph", "table"]

WIDTH = 110
_INDENT = "  "
_LONGEST = 3000  # characters of one paragraph of our own making


def heading(text: str) -> list[str]:
    """An empty line and a title."""
    return ["", clean(text)]


def paragraph(text: str, indent: int = 1) -> list[str]:
    """A text wrapped under its heading."""
    return item("", text, indent)


def item(label: str, text: str, indent: int = 1) -> list[str]:
    """A text whose further lines are set in under its label's end."""
    first = _INDENT * indent + label
    return wrap(
        clean(text, _LONGEST),
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_on_hyphens=False,
    )


def table(
    head: Sequence[str], rows: Sequence[Sequence[str]], *, right: Sequence[int] = (), wrap_last: bool = False
) -> list[str]:
    """A table, set in."""
    width = WIDTH - len(_INDENT) if wrap_last else None
    return [_INDENT + line for line in render_table(head, rows, right=right, wrap_last=width).splitlines()]
