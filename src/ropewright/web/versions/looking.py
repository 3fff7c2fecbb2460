"""A text looked at while it is written, whatever stands in it: the frame that every room's look stands in."""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Literal, TypeVar, get_args

from ropewright.errors import RopewrightError
from ropewright.rig import Fault, RigFileError

__all__ = ["Seen", "Stage", "looked_at", "stage_of"]

Stage = Literal["first", "picture", "whole"]
_LOG = logging.getLogger("ropewright")


@dataclass(frozen=True, slots=True)
class Seen:
    """What every look shows: the text's faults; what else hinders, in words; how long it took."""

    faults: tuple[Fault, ...] = ()
    trouble: str = field(default="", kw_only=True)
    milliseconds: int = field(default=0, kw_only=True)

    @property
    def count(self) -> int:
        """How many faults there are."""
        return len(self.faults)


S = TypeVar("S", bound=Seen)


def stage_of(word: str) -> Stage:
    """The stage of a look that a page asks for; the whole where it names none."""
    return next((stage for stage in get_args(Stage) if stage == word), "whole")


def looked_at(work: Callable[[], S], kind: type[S], noun: str) -> S:
    """Look at a text: what ``work`` finds, or why it finds nothing. It never raises."""
    start = time.perf_counter()
    try:
        found = work()
    except RigFileError as error:
        found = kind(faults=error.faults)
    except RopewrightError as error:
        found = kind(trouble=f"This {noun} can't be worked out: {error}")
    except Exception:
        _LOG.exception("a text could not be looked at")
        found = kind(trouble="The program failed on this text. Nothing is lost: change it, or save it.")
    return replace(found, milliseconds=round(1000 * (time.perf_counter() - start)))
