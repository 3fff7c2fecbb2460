"""`ropewright backup FILE`: write the whole store to one file, while the app runs."""

from __future__ import annotations

import os
from pathlib import Path

import click

from ropewright.cli.options import NamedPath
from ropewright.cli.terminal import clean

__all__ = ["command"]


@click.command("backup")
@click.argument("file", type=NamedPath())
@click.option("--home", type=NamedPath(), metavar="DIR", help="The folder that the app keeps everything in.")
def command(file: Path, home: Path | None) -> int:
    """Write the whole store to one file, while the app runs.

    It holds people's masses and documents: keep it where only those may read it who may read these.
    """
    if home is not None:
        os.environ["ROPEWRIGHT_HOME"] = str(home.resolve())
    from ropewright.web.environment import read_environment

    environment = read_environment(make=False)
    from ropewright.web.storing.swap import half_done
    from ropewright.web.storing.trouble import told_plainly

    store = environment.store_file
    if store and not store.is_file() and not half_done(environment.home, swapping=True):
        # said before the settings make a home folder and a key in it
        found = f"has no {store.name} in it" if environment.home.is_dir() else "is not there"
        raise click.UsageError(f"no store to back up: {environment.home} {found}")
    from ropewright.web.serving import set_up, take_up_restore

    with told_plainly():
        set_up()
        take_up_restore(click.echo)
        from ropewright.web.storing import backup

        documents = backup(file)
    click.echo(f"{clean(str(file))}: the database and {documents} document{'' if documents == 1 else 's'}")
    return 0
