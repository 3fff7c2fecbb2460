"""Starting the app: the store made ready, the demo filled where it is asked for, the server run."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import django
from django.conf import settings
from django.core.management import call_command
from django.utils import timezone

from ropewright import __version__
from ropewright.files import fingerprint
from ropewright.web.held import LINGERS, HeldError, alone, one_of_servers, only_server, together
from ropewright.web.rights import close_to_others, keep_new_files_close

__all__ = ["at_ease", "prepare", "run", "set_up", "take_up_restore"]

Say = Callable[[str], None]
KEPT_FOR = timedelta(days=30)
UNUSED = ["*.otf", "*Light*", "*Black*", "*Bold*", "*SemiboldIt*", "LICENSE*"]
"""Files of the typeface that no page asks for."""


def prepare(say: Say, *, demo: bool, address: str = "") -> None:
    """Make the store ready: tables, static files, and where it is asked for and empty, the demo.

    address: where it will be served, told to a second server of the same home folder.
    """
    from ropewright.web.storing.trouble import check_file

    set_up()
    home = settings.ENVIRONMENT.home
    take_up_restore(say)
    together(home)
    if settings.ENVIRONMENT.store_file:
        only_server(home, address)
    else:
        one_of_servers(home)
    close_to_others(home, say)
    check_file(settings.ENVIRONMENT)
    call_command("migrate", interactive=False, verbosity=0)
    _gather_static()
    _drop_old_results()
    if demo:
        from ropewright.web.demo.fill import fill_demo

        fill_demo(say)


def set_up() -> None:
    """Make Django ready in this process, and what it writes its owner's alone."""
    keep_new_files_close()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "ropewright.web.settings")
    django.setup()


def take_up_restore(say: Say) -> None:
    """Finish or undo a restore that was broken off, before anybody looks for a store."""
    from ropewright.web.storing import half_done, settle

    home = settings.ENVIRONMENT.home
    if not half_done(home):
        return
    try:
        with alone(home, LINGERS, say):
            settle(home, say)
    except HeldError:
        if half_done(home, swapping=True):  # else it is one that still unpacks, and the store is whole
            raise


def _drop_old_results() -> None:
    """Drop kept results that nobody made in a month: each is worked out anew when it is asked for."""
    from ropewright.web.workings.models import Working

    Working.objects.filter(made__lt=timezone.now() - KEPT_FOR).delete()


def _gather_static() -> None:
    """Gather the static files with hashed names, where they differ from those gathered last."""
    stamp = Path(settings.STATIC_ROOT) / ".gathered"
    now = _fingerprint()
    if stamp.exists() and stamp.read_text() == now:
        return
    call_command("collectstatic", interactive=False, verbosity=0, clear=True, ignore_patterns=UNUSED)
    stamp.write_text(now)


def _fingerprint() -> str:
    """What the static files are: their names, sizes and times."""
    seen = f"{__version__} {django.__version__}"
    for folder in settings.STATICFILES_DIRS:
        root = Path(str(folder[1] if isinstance(folder, tuple) else folder))
        seen = fingerprint(root, (p for p in root.rglob("*") if p.is_file()), seen)
    return seen


def at_ease() -> None:
    """Leave what a program has read at its start out of the search for garbage from now on.

    It is all still needed. Looking through it stops an answer for a tenth of a second every now and then,
    and makes workers copy the memory that they share.
    """
    gc.collect()
    gc.freeze()


def run(host: str, port: int, workers: int, started: Callable[[], None]) -> None:
    """Serve until it is stopped. ``started`` is called once it listens."""
    from gunicorn.app.base import BaseApplication

    def ready() -> None:
        at_ease()
        started()

    class Server(BaseApplication):  # type: ignore[misc]  # gunicorn has no types
        """Gunicorn, told here what its own configuration file would say."""

        def load_config(self) -> None:
            told = {
                "bind": f"{host}:{port}",
                "workers": workers,
                "threads": 4,
                "worker_class": "gthread",
                "timeout": 120,
                "graceful_timeout": 20,
                "keepalive": 15,
                "control_socket_disable": True,
                "umask": 0o077,
                "preload_app": True,
                "loglevel": "warning",
                "when_ready": lambda _server: ready(),
            }
            for key, value in told.items():
                if key in self.cfg.settings:
                    self.cfg.set(key, value)

        def load(self) -> object:
            from ropewright.web.wsgi import application

            return application

    Server().run()
