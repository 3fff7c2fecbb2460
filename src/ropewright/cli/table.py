"""A plain text table: columns aligned by what they take on the screen."""

from collections.abc import Sequence
from textwrap import wrap

from ropewright.cli.terminal import clean, width

__all__ = ["render_table"]

_GAP = "  "


def render_table(
    head: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Sequence[int] = (),
    wrap_last: int | None = None,
) -> str:
    """Return a table as text, without a closing line break.

    head: the columns' titles. rows: cells as text, as many as titles; each is cleaned for the terminal.
    right: the numbers of the columns that are set to the right, from 0.
    wrap_last: the width of the whole table, to which its last column is wrapped; left out, none is.
    """
    table = [[clean(cell) for cell in row] for row in (head, *rows)]
    if any(len(row) != len(head) for row in table):
        raise ValueError(f"every row needs {len(head)} cells")
    sizes = [max(width(row[column]) for row in table) for column in range(len(head))]
    if wrap_last is not None:
        sizes[-1] = min(sizes[-1], max(20, wrap_last - sum(sizes[:-1]) - len(_GAP) * (len(head) - 1)))
    lines = [line for row in table for line in _row_lines(row, sizes, right)]
    return "\n".join([lines[0], _GAP.join("─" * size for size in sizes), *lines[1:]])


def _row_lines(row: Sequence[str], sizes: Sequence[int], right: Sequence[int]) -> list[str]:
    last = wrap(row[-1], sizes[-1]) if width(row[-1]) > sizes[-1] else [row[-1]]
    lines = [[*row[:-1], last[0]], *([*[""] * (len(row) - 1), more] for more in last[1:])]
    return [_GAP.join(_padded(line, sizes, right)).rstrip() for line in lines]


def _padded(cells: Sequence[str], sizes: Sequence[int], right: Sequence[int]) -> list[str]:
    return [
        " " * (size - width(cell)) + cell if column in right else cell + " " * (size - width(cell))
        for column, (cell, size) in enumerate(zip(cells, sizes, strict=True))
    ]
