"""Files that a command writes: never over somebody's own without being told to."""

import os
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

from ropewright.cli.terminal import clean
from ropewright.files import refuse_obstacle

__all__ = [
    "complain",
    "force_option",
    "in_folder",
    "make_folder",
    "refuse_inputs",
    "refuse_to_overwrite",
    "stem",
]

_ENDINGS = (".rig.yaml", ".rig.yml", ".procedure.yaml", ".procedure.yml", ".yaml", ".yml")

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


def in_folder(files: Iterable[Path], out: Path, kinds: Sequence[str], twins: str) -> dict[Path, list[Path]]:
    """Where the results of each file go, one for each of the kinds.

    kinds: endings without their dot. twins: what is said of two that would go to one place, as in
    'two cards would be written to {}; print them apart'. Errors: ClickException, before anything is begun.
    """
    targets: dict[Path, list[Path]] = {}
    taken: set[Path] = set()
    for path in dict.fromkeys(files):
        targets[path] = [out / f"{stem(path)}.{kind}" for kind in kinds]
        if taken & set(targets[path]):
            raise click.ClickException(twins.format(clean(str(targets[path][0]))))
        taken |= set(targets[path])
    return targets


def refuse_inputs(written: Iterable[Path], *read: Path | None) -> None:
    """Raise where a result would take the place of a file that is read, however either is spelt or linked."""
    inputs = [path for path in read if path is not None]
    for target in written:
        for path in inputs:
            if _same(target, path):
                raise click.ClickException(
                    f"{clean(str(target))} is a file that is read here ({clean(str(path))}): nothing is "
                    "written over it; name another"
                )


def _same(one: Path, other: Path) -> bool:
    try:
        return one.samefile(other)
    except (OSError, ValueError):  # one of them is not there: only its name can tell
        return os.path.realpath(one) == os.path.realpath(other)


def make_folder(out: Path) -> None:
    """Make the folder that results go to, unless it is there; raise where something else is in its place."""
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise click.ClickException(f"{clean(str(out))}: can't be made a folder: {error.strerror}") from None


def complain(path: Path, error: Exception) -> None:
    """Say on standard error what is wrong with one file, so that the others can go on."""
    said = f"{path}: {error.strerror}" if isinstance(error, OSError) and error.strerror else str(error)
    for line in said.split("\n"):
        click.echo(f"ropewright: {clean(line)}", err=True)
