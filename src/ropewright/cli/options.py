"""Options that several commands share, so that they mean the same everywhere."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = ["team_option", "units_option"]

_Command = TypeVar("_Command", bound=Callable[..., Any])


def units_option(command: _Command) -> _Command:
    """Add `--units us|metric|both`, passed as `units`."""
    return click.option(
        "--units",
        type=click.Choice(["us", "metric", "both"]),
        default="both",
        show_default=True,
        help="The units that are printed.",
    )(command)


def team_option(command: _Command) -> _Command:
    """Add `--team FILE`, passed as `team`: a team's own gear types and figures."""
    return click.option(
        "--team",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="A TOML file with the team's own gear types and figures.",
    )(command)
