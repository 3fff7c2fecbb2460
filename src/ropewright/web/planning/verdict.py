"""The first line of an answer: yes, no, or what is not known; and what whoever gives gear out has to know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from ropewright.web.planning.answer import Answer

__all__ = ["Verdict", "against", "people_told", "unknowns", "verdict"]


def unknowns(answer: Answer) -> list[str]:
    """What keeps a plan that nothing is known against from a plain yes, in a few words each."""
    said = []
    if answer.unweighed and answer.places:
        said.append(f"{people_told(len(answer.unweighed))} without a mass on record: not checked")
    if answer.unread and answer.places:
        said.append("what people weigh is not looked at for you")
    if answer.over:
        count = people_told(len({one.name for one in answer.over}))
        said.append(f"{count} over a limit of the gear, or a limit is not known")
    if answer.doubts:
        said.append(f"the roster has something against {people_told(len(answer.doubts))} that day")
    if answer.plan.more_people and answer.places:
        said.append(f"{people_told(answer.plan.more_people)} on no roster: not checked")
    if answer.uneven:
        names = ", ".join(one.name for one in answer.uneven)
        said.append(f"several people hang in one rig ({names}): people of unequal mass in it not checked")
    if answer.planned < answer.at_once:
        said.append(_too_few(answer))
    if answer.ratio is not None and not answer.ratio.within:
        said.append("the policy asks for more instructors")
    gone = sum(len(gone.marks) for lot in answer.lots for gone in lot.gone)
    if gone:
        said.append(f"{gone} of the items given out for it may no longer be used")
    return said


def _too_few(answer: Answer) -> str:
    """How many are planned, where the rigs need more at once: on rope, and at the hands of their crews."""
    planned = people_told(answer.planned) if answer.planned else "nobody"
    hands = answer.at_once - answer.places
    counts = ((answer.places, "on rope"), (hands, "handling rope"))
    who = ", ".join(f"{count} {words}" for count, words in counts if count)
    are = "is" if answer.planned <= 1 else "are"
    return f"{planned} {are} planned where the rigs need {answer.at_once} at once ({who})"


def people_told(count: int) -> str:
    return "1 person" if count == 1 else f"{count} people"


@dataclass(frozen=True, slots=True)
class Verdict:
    """The first line of an answer: a mark's word, the words themselves, and how grave they are."""

    mark: Literal["within policy", "outside policy", "caution"]
    words: str
    on_paper: str


def verdict(answer: Answer) -> Verdict:
    """Yes, no, or what is not known: what nobody weighed never passes."""
    if not answer.can:
        return Verdict("outside policy", "No: not as planned", "can't be rigged as planned")
    open_ = "; ".join(unknowns(answer))
    if not open_:
        return Verdict("within policy", "Yes: it can be rigged", "can be rigged")
    if answer.unweighed and answer.places:
        return Verdict("caution", f"Not known: {open_}", "not known whether it can be rigged")
    return Verdict(
        "caution", f"The gear is there, but {open_}", "the gear is there, with open questions: see the plan"
    )


def against(answer: Answer) -> str:
    """What whoever gives the items out all the same has to know; nothing where the answer is a plain yes."""
    if answer.can:
        return "; ".join(unknowns(answer))
    said = [f"{one.name} can't be used as it is written" for one in answer.unusable]
    said += [f"{one.name} is outside policy as it is written" for one in answer.outside]
    said += [f"{one.name} is outside policy with somebody on rope" for one in answer.beyond]
    if answer.off_rope:
        said.append(f"{people_told(len(answer.off_rope))} may not go on rope")
    if answer.solved.allotment.short or not said:
        said.append("the plan can't be rigged as planned")
    return " and ".join(said)
