"""What is worked out beside the server: proofs, pictures, mistakes. Plain values go in and come out."""

from __future__ import annotations

from base64 import b64encode
from dataclasses import replace
from typing import Any
from zoneinfo import ZoneInfo

from django.db import IntegrityError, transaction
from django.utils import timezone

from ropewright.procedure import World, prove
from ropewright.procedure.mistakes import mistakes as every_mistake
from ropewright.rig import RigFileError
from ropewright.sheets.leaf_press import print_leaf
from ropewright.sheets.procedure_sheets import SHEETS
from ropewright.sheets.storyboard import frame_of, grouped
from ropewright.sheets.telling import Story
from ropewright.web.procedures.missteps import missing_checks, mistake_shown, mistakes_told
from ropewright.web.procedures.source import Source
from ropewright.web.procedures.told import faults_of, proof_told, short_of
from ropewright.web.procedures.ways import searched
from ropewright.web.workings.engine import catalogue
from ropewright.web.workings.models import Working
from ropewright.web.workings.results import digest
from ropewright.web.workings.worker import Tell

__all__ = ["mistake", "mistakes", "pictures", "proof", "sheets", "story_of", "way"]


def story_of(source: Source, *, failing: bool = True) -> Story:
    """A procedure proved, in the form that pages and sheets tell it. Errors: RigFileError."""
    procedure = source.read()
    world = World(procedure, catalogue())
    time = timezone.localtime(timezone=ZoneInfo(source.rules.zone)).strftime("%Y-%m-%d %H:%M")
    return Story(
        prove(procedure, catalogue(), world, failing=failing), world, source.file, time, source.rules.units
    )


def proof(asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """The proof in full; its short form and its first picture are kept besides, for lists."""
    source = Source.again(asked)
    try:
        story = story_of(source)
        told = proof_told(story)
    except RigFileError as error:
        told = {"faults": faults_of(error)}
    else:
        tell(1, 2, "drawing the start")
        first, what, _ = grouped(story)[0]
        picture = frame_of(story, story.proof.start if first is None else first.after, what, "")
        keep("procedure-first", source, {"svg": picture.svg})
    keep("procedure-short", source, short_of(told))
    return told


def pictures(asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """The picture of the start and of each step that changes something."""
    story = story_of(Source.again(asked), failing=False)
    groups = grouped(story)
    out = []
    for k, (first, what, _) in enumerate(groups):
        tell(k, len(groups), "drawing")
        moment = story.proof.start if first is None else first.after
        picture = frame_of(story, moment, what, "" if first is None else str(first.n))
        out.append({"svg": picture.svg, "width": picture.width, "height": picture.height})
    return {"pictures": out}


def mistakes(asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """Every mistake with its consequence, the critical steps and the checks that are missing."""
    source = Source.again(asked)
    try:
        procedure = source.read()
    except RigFileError as error:
        return {"faults": faults_of(error)}
    found = every_mistake(
        procedure, catalogue(), progress=lambda done, whole: tell(done, whole, "mistakes tried")
    )
    return mistakes_told(found)


def mistake(asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """One mistake played: the steps as they are then done, and pictures of before and after it shows."""
    source = Source.again(asked)
    told = kept_mistakes(source, tell)
    if "faults" in told:
        return told
    story = story_of(source, failing=False)
    tell(0, 0, "drawing the moment after it")
    return mistake_shown(story, told["mistakes"][asked["mistake"]])


def sheets(asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """A sheet as PDF, in the form that JSON can hold."""
    source = Source.again(asked)
    told = kept_mistakes(source, tell)
    if "faults" in told:
        return told
    tell(0, 0, "setting the sheet")
    story = replace(
        story_of(source),
        critical={each["n"]: each["because"] for each in told["critical"]},
        missing=missing_checks(told),
    )
    printed = print_leaf(SHEETS[asked["sheet"]](story), asked["paper"])
    return {"pdf": b64encode(printed.pdf).decode(), "pages": printed.pages}


def way(asked: dict[str, Any], tell: Tell) -> dict[str, Any]:
    """A way between two rigs."""
    return searched(asked, tell)


def kept_mistakes(source: Source, tell: Tell) -> dict[str, Any]:
    """The mistakes as they were worked out before, or now. Errors: RigFileError."""
    row = Working.objects.filter(
        key=digest("procedure-mistakes", *source.parts), state=Working.State.DONE
    ).first()
    if row is not None:
        data: dict[str, Any] = row.data
    else:
        data = mistakes(source.asked, tell)
        keep("procedure-mistakes", source, data)
    return data


def keep(kind: str, source: Source, data: dict[str, Any]) -> None:
    """Keep a result that came by the way."""
    try:
        with transaction.atomic():
            Working.objects.create(key=digest(kind, *source.parts), kind=kind, data=data)
    except IntegrityError:  # it was kept before
        pass
