"""A rig at a moment, by the names of its parts: what letting go starts from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True)
class State:
    """A rig at a moment: where each part is [m], and the unstretched length [m] of rope after each contact
    of its run.
    """

    at: Mapping[str, NDArray[np.float64]]
    laid: Mapping[tuple[str, int], float]
