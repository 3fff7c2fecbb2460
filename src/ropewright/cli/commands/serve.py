"""`ropewright serve`: the team's web app, on this machine or, in production, for others."""

from __future__ import annotations

import os
from pathlib import Path

import click

from ropewright.cli.options import NamedPath

__all__ = ["command"]


@click.command("serve")
@click.option("--host", default="127.0.0.1", show_default=True, metavar="ADDRESS", help="Where it listens.")
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535), help="Its port.")
@click.option("--home", type=NamedPath(), metavar="DIR", help="The folder that it keeps everything in.")
@click.option("--workers", default=2, show_default=True, type=click.IntRange(1, 64), help="Server processes.")
@click.option("--demo", is_flag=True, help="Fill an empty store with the Tern Harbor demo.")
def command(host: str, port: int, home: Path | None, workers: int, demo: bool) -> int:
    """Serve the team's web app: rigs, procedures, gear, people and plans.

    It makes its store where there is none. Settings are environment variables, ROPEWRIGHT_MODE=production
    among them; without that it answers on this machine alone.
    """
    if home is not None:
        os.environ["ROPEWRIGHT_HOME"] = str(home.resolve())
    from ropewright.web.environment import LOOPBACK, read_environment

    environment = read_environment()
    if not environment.production and host not in LOOPBACK:
        raise click.UsageError(
            f"--host {host} would let other machines in; set ROPEWRIGHT_MODE=production, "
            "ROPEWRIGHT_HOSTS and ROPEWRIGHT_KEY first"
        )
    if demo and environment.production:
        raise click.UsageError(
            "--demo makes accounts whose passwords are printed here; production refuses it"
        )
    from ropewright.web.serving import prepare, run

    prepare(lambda text: click.echo(text), demo=demo)
    address = f"http://{host}:{port}/"
    run(host, port, workers, lambda: click.echo(f"Serving on {address}  (stop with Ctrl-C)"))
    return 0
