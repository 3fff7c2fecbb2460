"""Reading types from the shipped files and from a team's own file."""

import tomllib
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ropewright.catalogue.entry import TypeReader
from ropewright.catalogue.model import Catalogue, CatalogueError, GearType
from ropewright.files import kind_of

__all__ = ["load_catalogue"]

# Plain paths: importlib.resources would add a tenth to the time of every command.
_DATA = Path(__file__).parent / "data"
_SHIPPED = ("ropes", "pulleys", "grabs", "devices", "joins", "bodies", "edges", "knots")
_MOST_BYTES = 256_000  # a team's file with a thousand types stays below this
# A dotted key makes a table for each point, and its cost grows with the square of their number.
_LONGEST_LINE = 1000


def load_catalogue(team_file: Path | None = None) -> Catalogue:
    """Return the shipped catalogue, with a team's own types and figures laid over it.

    team_file: a TOML file with one table for each type. A table named after a shipped type replaces
        figures of it; any other table adds a type and says its family, or `like` which known type it is.
    Errors: CatalogueError with every fault of the team's file.
    """
    return _shipped() if team_file is None else _overlaid(_shipped(), team_file)


@cache
def _shipped() -> Catalogue:
    sources = tomllib.loads((_DATA / "sources.toml").read_text("utf-8"))
    reader = TypeReader(sources)
    types = [
        kind
        for name in _SHIPPED
        for kind in reader.read_all(tomllib.loads((_DATA / f"{name}.toml").read_text("utf-8")), {})
    ]
    if reader.faults:
        raise CatalogueError(*reader.faults)
    return Catalogue(types)


def _overlaid(base: Catalogue, team_file: Path) -> Catalogue:
    tables = _parse(team_file)
    reader = TypeReader({}, own_file=team_file.name)
    own = reader.read_all(tables, base)
    if reader.faults:
        raise CatalogueError(*(f"{team_file}: {fault}" for fault in reader.faults))
    merged: dict[str, GearType] = dict(base) | {kind.name: kind for kind in own}
    return Catalogue(merged.values())


def _parse(path: Path) -> Mapping[str, Any]:
    """Return the tables of a TOML file, or raise with the one reason that it can't be read."""
    try:
        # Asked before it is opened: a pipe that nobody writes to would be waited for without end.
        what = kind_of(path.stat().st_mode)
        if what:
            raise CatalogueError(f"{path}: can't be read: this is {what}; name a TOML file of gear types")
        with path.open("rb") as stream:
            content = stream.read(_MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name can't be used"
        raise CatalogueError(f"{path}: can't be read: {reason}") from None
    if len(content) > _MOST_BYTES:
        raise CatalogueError(
            f"{path}: is larger than {_MOST_BYTES // 1000} kB; a team's gear file is a list of types"
        )
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError:
        raise CatalogueError(f"{path}: is not text in UTF-8; a team's gear file is a TOML text") from None
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > _LONGEST_LINE:
            raise CatalogueError(
                f"{path}: line {number} has {len(line):,} characters; "
                f"at most {_LONGEST_LINE:,} stand on a line of a gear file"
            )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise CatalogueError(f"{path}: is not TOML: {error}") from None
    except RecursionError:
        raise CatalogueError(f"{path}: is nested too deeply; a gear type is one table of figures") from None
