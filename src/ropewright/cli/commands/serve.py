"""`ropewright serve`: the team's web app, on this machine or, in production, for others."""

from __future__ import annotations

import errno
import os
import socket
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
    _check_free(host, port)
    from ropewright.web.serving import prepare, run
    from ropewright.web.storing.trouble import told_plainly

    address = f"http://{host}:{port}/"
    with told_plainly():
        prepare(lambda text: click.echo(text), demo=demo, address=address)
    run(host, port, workers, lambda: click.echo(f"Serving on {address}  (stop with Ctrl-C)"))
    return 0


def _check_free(host: str, port: int) -> None:
    """Refuse an address that can't be listened on, before anything is made ready."""
    try:
        (family, kind, *_rest, place) = socket.getaddrinfo(host.strip("[]"), port, type=socket.SOCK_STREAM)[0]
        with socket.socket(family, kind) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind(place)
    except OSError as error:
        if error.errno == errno.EADDRINUSE:
            raise click.UsageError(
                f"port {port} of {host} is taken by another program; stop that one, or choose another --port"
            ) from None
        raise click.UsageError(
            f"port {port} of {host} can't be listened on: {error.strerror or error}; choose others "
            "with --host and --port"
        ) from None
