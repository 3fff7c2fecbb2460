"""Files that a command writes: never over somebody's own without being told to."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

import click

from ropewright.cli.terminal import clean
from ropewright.files import refuse_obstacle

__all__ = ["complain", "force_option", "refuse_to_overwrite", "stem"]

_ENDINGS = (".rig.yaml", ".rig.yml", ".yaml", ".yml")

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


def stem(path: Path) -> str:
    """Return a rig file's name without what says that it is one."""
    for ending in _ENDINGS:
        if path.name.lower().endswith(ending) and len(path.name) > len(ending):
            return path.name[: -len(ending)]
    return path.name


def complain(path: Path, error: Exception) -> None:
    """Say on standard error what is wrong with one file, so that the others can go on."""
    said = f"{path}: {error.strerror}" if isinstance(error, OSError) and error.strerror else str(error)
    for line in said.split("\n"):
        click.echo(f"ropewright: {clean(line)}", err=True)
