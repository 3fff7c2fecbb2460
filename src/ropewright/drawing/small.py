"""A picture without a word in it, for lists: what hangs on what, seen at a glance."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .ink import Sketch
from .labels import Board
from .picture import Drawing, Picture, extent, finish

__all__ = ["small_picture"]


def small_picture(drawing: Drawing) -> Picture:
    """Return a drawing without its labels and without a frame; title and description stay for readers."""
    bare, nothing = Sketch(), Board([], [], np.zeros((0, 5)))
    box = extent(drawing.sketch, bare, nothing)
    return finish(replace(drawing, letters=bare, labels=(), box=box), "both", framed=False)
