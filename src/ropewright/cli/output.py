"""Files that a command writes: never over somebody's own without being told to."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from ropewright.files import refuse_obstacle

__all__ = ["force_option", "refuse_to_overwrite"]

_Command = TypeVar("_Command", bound=Callable[..., Any])


def force_option(command: _Command) -> _Command:
    """Add `--force`, passed as `force`."""
    return click.option("--force", is_flag=True, help="Replace FILE where it exists.")(command)


def refuse_to_overwrite(output: Path | None, force: bool) -> None:
    """Raise where a file stands already and is not to be replaced, or where something else is in the way."""
    if output is None:
        return
    refuse_obstacle(output)
    if not force and (output.exists() or output.is_symlink()):
        raise click.ClickException(f"{output} exists and is left as it is; --force replaces it")
