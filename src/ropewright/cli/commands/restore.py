"""`ropewright restore FILE`: put a backup in place of the store; what was there is set aside."""

from __future__ import annotations

import os
from pathlib import Path

import click

from ropewright.cli.options import NamedPath
from ropewright.cli.terminal import clean

__all__ = ["command"]


@click.command("restore")
@click.argument("file", type=NamedPath())
@click.option("--home", type=NamedPath(), metavar="DIR", help="The folder that the app keeps everything in.")
def command(file: Path, home: Path | None) -> int:
    """Put a backup in place of the store; what was there is set aside.

    The file is checked in full first; a damaged one, or one from a newer program, changes nothing. The server
    must not be running.
    """
    if home is not None:
        os.environ["ROPEWRIGHT_HOME"] = str(home.resolve())
    from ropewright.web.environment import read_environment
    from ropewright.web.storing.traces import traces
    from ropewright.web.storing.trouble import told_plainly

    clear = traces(read_environment(make=False).home)
    try:
        with told_plainly():
            _restore(file)
    except BaseException:
        clear()
        raise
    click.echo(f"Restored from {clean(str(file))}; everybody has to sign in again")
    return 0


def _restore(file: Path) -> None:
    from ropewright.web.serving import set_up

    set_up()
    from ropewright.web.storing import restore

    restore(file, click.echo)
