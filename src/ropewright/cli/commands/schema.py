"""`ropewright schema`: the JSON Schema of a rig file, for editors."""

import json
from pathlib import Path

import click

from ropewright.cli.options import NamedPath
from ropewright.cli.output import force_option, refuse_to_overwrite
from ropewright.files import write_whole
from ropewright.rig import rig_schema

__all__ = ["command"]


@click.command("schema")
@click.option(
    "-o",
    "--output",
    type=NamedPath(),
    metavar="FILE",
    help="Write to FILE instead of the terminal.",
)
@force_option
def command(output: Path | None, force: bool) -> None:
    """Print the JSON Schema of a rig file, so that an editor can complete and check while you type."""
    refuse_to_overwrite(output, force)
    text = json.dumps(rig_schema(), indent=2, ensure_ascii=False)
    if output is None:
        click.echo(text)
    else:
        write_whole(output, f"{text}\n".encode())
