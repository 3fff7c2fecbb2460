"""`django-admin fill_large`: adds a large invented team's data to a store, for measuring."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from ropewright.web.demo.large import Large, fill_large


class Command(BaseCommand):
    """Add 200 people, 2,000 items, 300 rigs and five years of logs, or as many as are asked for."""

    help = __doc__ or ""

    def add_arguments(self, parser: CommandParser) -> None:
        """How large, and from which seed."""
        for name, value in (("people", 200), ("items", 2000), ("rigs", 300), ("years", 5), ("seed", 1)):
            parser.add_argument(f"--{name}", type=int, default=value)

    def handle(self, *_args: Any, **told: Any) -> None:
        """Fill the store, then say what it holds."""
        size = Large(told["people"], told["items"], told["rigs"], told["years"], told["seed"])
        for what, count in fill_large(size).items():
            self.stdout.write(f"{count:9,} {what}")
