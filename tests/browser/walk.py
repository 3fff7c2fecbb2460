"""Finding every page that somebody can reach by links, one for each address of the app."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlsplit

from django.urls import Resolver404, resolve
from playwright.sync_api import Page

__all__ = ["pages_of"]

FILES = ("pdf", "svg", "png", "yaml", "csv", "xlsx", "ics", "json", "txt")


def pages_of(
    page: Page, look: Callable[[str], None] | None = None, start: str = "/today/", most: int = 120
) -> dict[str, str]:
    """Follow links from a page; give one path for each address's name. Files are not opened.

    look: called with each path while its page is open.
    """
    found: dict[str, str] = {}
    waiting = [start]
    seen = set(waiting)
    while waiting and len(found) < most:
        path = waiting.pop(0)
        try:
            name = resolve(urlsplit(path).path).view_name
        except Resolver404:
            continue
        if name in found:
            continue
        answer = page.goto(path)
        if answer is None or "html" not in answer.headers.get("content-type", ""):
            continue
        assert answer.status == 200, f"{path} answers {answer.status}"
        found[name] = path
        if look is not None:
            look(path)
        hrefs: list[str] = page.eval_on_selector_all(
            "a[href^='/']:not([download])", "links => links.map(link => link.getAttribute('href'))"
        )
        for href in hrefs:
            plain = href.split("#")[0]
            if plain not in seen and urlsplit(plain).path.rsplit(".", 1)[-1] not in FILES:
                seen.add(plain)
                waiting.append(plain)
    return found
