"""How long every page takes at the server with a large team: 200 people, 2,000 items, 300 rigs, five years.

    python -m tests.bench.pages [--rounds 20] [--home DIR]

Prints each address with its median and 95th percentile, the slowest last, and how many are under the goal.
Fills a store in a temporary folder where no `--home` is named.
"""

from __future__ import annotations

import argparse
import math
import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from urllib.parse import urlsplit

__all__ = ["main"]

GOAL_MS = 200.0


def main() -> None:
    """Fill a store where there is none, then ask for every page again and again."""
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--rounds", type=int, default=20)
    words.add_argument("--home", default="")
    told = words.parse_args()
    os.environ["ROPEWRIGHT_HOME"] = told.home or tempfile.mkdtemp(prefix="ropewright-large-")
    os.environ["DJANGO_SETTINGS_MODULE"] = "ropewright.web.settings"
    from ropewright.web.serving import prepare

    prepare(print, demo=True)
    _fill()
    found = sorted(_measure(told.rounds), key=lambda row: row[2])
    for name, median, high, size in found:
        print(f"{high:8.1f} ms at the 95th percentile {median:8.1f} ms median {size / 1000:8.0f} kB  {name}")
    within = sum(high <= GOAL_MS for _, _, high, _ in found)
    print(f"{within} of {len(found)} pages under {GOAL_MS:.0f} ms at the 95th percentile")


def _fill() -> None:
    from ropewright.web.demo.large import Large, fill_large
    from ropewright.web.gear.models import Item

    if Item.objects.count() < 2000:
        print(fill_large(Large()))


def _measure(rounds: int) -> Iterator[tuple[str, float, float, int]]:
    """Each address that links lead to: its name, its median and 95th percentile [ms], its size [bytes]."""
    from django.test import Client
    from django.urls import resolve

    from ropewright.web.accounts.models import Account
    from ropewright.web.serving import at_ease

    browser = Client(HTTP_HOST="localhost")
    browser.force_login(Account.objects.get(username="ines"), "django.contrib.auth.backends.ModelBackend")
    seen: dict[str, str] = {}
    waiting = ["/today/"]
    known = set(waiting)
    while waiting:
        path = waiting.pop(0)
        name = resolve(urlsplit(path).path).view_name
        if name in seen:
            continue
        answer = browser.get(path)
        if answer.status_code != 200 or "html" not in answer["Content-Type"]:
            continue
        seen[name] = path
        for href in _links(answer.content.decode()):
            if href not in known:
                known.add(href)
                waiting.append(href)
    at_ease()
    for name, path in seen.items():
        times = []
        for _ in range(rounds):
            began = time.perf_counter()
            answer = browser.get(path)
            times.append(1000 * (time.perf_counter() - began))
        times.sort()
        high = times[math.ceil(0.95 * len(times)) - 1]
        yield f"{name}  {path}", statistics.median(times), high, len(answer.content)


def _links(html: str) -> Iterator[str]:
    from html.parser import HTMLParser

    found: list[str] = []

    class Reader(HTMLParser):
        """Collects the links of a page."""

        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            href = dict(attrs).get("href") if tag == "a" else None
            if href and href.startswith("/") and "download" not in dict(attrs):
                found.append(href.split("#")[0])

    Reader().feed(html)
    yield from found


if __name__ == "__main__":
    main()
