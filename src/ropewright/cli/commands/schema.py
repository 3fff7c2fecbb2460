"""`ropewright schema`: the JSON Schemas of the files that people write, for editors."""

import json
from pathlib import Path

import click

from ropewright.cli.options import NamedPath
from ropewright.cli.output import force_option, refuse_to_overwrite
from ropewright.files import write_whole
from ropewright.rig import rig_schema

__all__ = ["command"]


@click.command("schema")
@click.argument("kind", type=click.Choice(["rig", "procedure"]), default="rig")
@click.option(
    "-o",
    "--output",
    type=NamedPath(),
    metavar="FILE",
    help="Write to FILE instead of the terminal.",
)
@force_option
def command(kind: str, output: Path | None, force: bool) -> None:
    """Print the JSON Schema of a rig or a procedure file, so that an editor can check while you type."""
    from ropewright.procedure.schema import (
        procedure_schema,  # the model behind it is no start for a rig's schema
    )

    refuse_to_overwrite(output, force)
    schema = rig_schema() if kind == "rig" else procedure_schema()
    text = json.dumps(schema, indent=2, ensure_ascii=False)
    if output is None:
        click.echo(text)
    else:
        write_whole(output, f"{text}\n".encode())
