"""`ropewright schema`: the JSON Schema of a rig file, for editors."""

import json
from pathlib import Path

import click

from ropewright.files import write_whole
from ropewright.rig import rig_schema

__all__ = ["command"]


@click.command("schema")
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Write to FILE instead of the terminal.",
)
def command(output: Path | None) -> None:
    """Print the JSON Schema of a rig file, so that an editor can complete and check while you type."""
    text = json.dumps(rig_schema(), indent=2, ensure_ascii=False)
    if output is None:
        click.echo(text)
    else:
        write_whole(output, f"{text}\n".encode())
