"""What is worked out beside the server: proofs, pictures, mistakes. Plain values go in and come out."""

from __future__ import annotations

from typing import Any

from django.db import IntegrityError, transaction
from django.utils import timezone

from ropewright.procedure import World, prove
from ropewright.rig import RigFileError
from ropewright.sheets.storyboard import frame_of, grouped
from ropewright.sheets.telling import Story
from ropewright.web.procedures.source import Source
from ropewright.web.procedures.told import faults_of, proof_told, short_of
from ropewright.web.workings.engine import catalogue, digest
from ropewright.web.workings.models import Working
from ropewright.web.workings.worker import Tell

__all__ = ["pictures", "proof", "story_of"]


def story_of(source: Source, *, failing: bool = True) -> Story:
    """A procedure proved, in the form that pages and sheets tell it. Errors: RigFileError."""
    procedure = source.read()
    world = World(procedure, catalogue())
    time = timezone.localtime().strftime("%Y-%m-%d %H:%M")
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


def keep(kind: str, source: Source, data: dict[str, Any]) -> None:
    """Keep a result that came by the way."""
    try:
        with transaction.atomic():
            Working.objects.create(key=digest(kind, *source.parts), kind=kind, data=data)
    except IntegrityError:  # it was kept before
        pass
