"""Options that several commands share, so that they mean the same everywhere."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = ["NamedPath", "team_option", "units_option"]

_Command = TypeVar("_Command", bound=Callable[..., Any])


class NamedPath(click.Path):
    """A path that somebody named: empty words are refused, which would otherwise mean the current folder."""

    def __init__(self) -> None:
        super().__init__(path_type=Path)

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Any:  # click's own signature
        if isinstance(value, str) and not value.strip():
            self.fail("found an empty name; write the name of a file or a folder", param, ctx)
        return super().convert(value, param, ctx)


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
        type=NamedPath(),
        metavar="FILE",
        help="A TOML file with the team's own gear types and figures.",
    )(command)
