"""A text looked at while it is written, whatever stands in it: the frame that every room's look stands in."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, TypeVar, get_args

from ropewright.errors import RopewrightError
from ropewright.patience import OutOfPatienceError
from ropewright.rig import Fault, RigFileError

__all__ = ["Seen", "Stage", "looked_at", "stage_of"]

Stage = Literal["first", "picture", "whole"]
_LOG = logging.getLogger("ropewright")


@dataclass(frozen=True, slots=True)
class Seen:
    """What every look shows: the text's faults; what else hinders, in words."""

    faults: tuple[Fault, ...] = ()
    trouble: str = field(default="", kw_only=True)

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
    try:
        return work()
    except RigFileError as error:
        return kind(faults=error.faults)
    except OutOfPatienceError:
        return kind(
            trouble=f"The text reads, but to work this {noun} out takes longer than may be while you write. "
            "Save it, and its page shows the rest."
        )
    except RopewrightError as error:
        return kind(trouble=f"This {noun} can't be worked out: {error}")
    except Exception:
        _LOG.exception("a text could not be looked at")
        return kind(trouble="The program failed on this text. Nothing is lost: change it, or save it.")
