"""Opening a procedure: which version is looked at, and how far its results are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from ropewright.web.procedures.models import Procedure, ProcedureVersion
from ropewright.web.procedures.source import Source, source_of
from ropewright.web.versions.reading import version_asked
from ropewright.web.workings.background import ask
from ropewright.web.workings.models import Working

__all__ = ["Opened", "opened"]


@dataclass(frozen=True)
class Opened:
    """A procedure, the version of it that is looked at, and what its results follow from."""

    procedure: Procedure
    version: ProcedureVersion
    source: Source

    @property
    def is_current(self) -> bool:
        """Whether it is the version that counts."""
        return self.version.number == self.procedure.latest

    def result(self, kind: str, **more: Any) -> Working:
        """The row of a result, asked for where it is not there. ``more``: what it follows from besides."""
        return ask(kind, (*self.source.parts, *more.values()), {**self.source.asked, **more})

    def context(self, here: str) -> dict[str, Any]:
        """What every page about it shows."""
        return {
            "procedure": self.procedure,
            "version": self.version,
            "is_current": self.is_current,
            "here": here,
            "at_version": "" if self.is_current else f"?version={self.version.number}",
        }


def opened(request: HttpRequest, slug: str) -> Opened:
    """The procedure of an address, at `?version=3` or as it counts now."""
    procedure = get_object_or_404(Procedure, slug=slug)
    version = version_asked(procedure, request.GET.get("version", ""))
    name = f"{procedure.file_name}, version {version.number}"
    return Opened(procedure, version, source_of(version.text, name))
