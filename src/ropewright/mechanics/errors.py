"""Errors of the mechanics, under the project's own base."""

from __future__ import annotations

from ropewright.errors import RopewrightError


class MechanicsError(RopewrightError):
    """Anything the mechanics cannot do."""


class NoSolutionError(MechanicsError):
    """The equations have no usable answer; the text says where it shows."""
