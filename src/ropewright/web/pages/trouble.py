"""Pages for what goes wrong: each says what happened, that nothing was half done, and what to do."""

from __future__ import annotations

import logging

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

__all__ = ["broken", "not_allowed", "not_there", "not_understood", "stale_form", "store_busy"]

_LOG = logging.getLogger("ropewright")


def _page(
    request: HttpRequest, status: int, heading: str, text: str, *, to: tuple[str, str] | None = None
) -> HttpResponse:
    where = {"next_url": to[0], "next_words": to[1]} if to else {}
    return render(request, "trouble.html", {"heading": heading, "text": text, **where}, status=status)


def not_understood(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """400."""
    if isinstance(exception, RequestDataTooBig):
        most = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        return _page(
            request,
            400,
            "That was too much",
            f"It is more than is taken at once ({most:,} bytes). Nothing was changed. Go back: what you "
            "wrote is still in the page; make it shorter.",
        )
    return _page(
        request,
        400,
        "That request made no sense here",
        "Nothing was changed. Go back and send the form again.",
    )


def not_allowed(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """403, for somebody who is signed in and may not do this."""
    role = getattr(request.user, "role_words", "")
    return _page(
        request,
        403,
        "Not yours to open",
        f"Your account is {role}: it may not do this. A lead instructor can do it, or change your role."
        if role
        else "Sign in first.",
        to=(reverse("pages:today"), "Back to today"),
    )


def not_there(request: HttpRequest, exception: Exception | None = None) -> HttpResponse:
    """404."""
    return _page(
        request,
        404,
        "There is nothing under that address",
        "It may have been renamed or put away. The lists show all there is.",
        to=(reverse("pages:today"), "Back to today"),
    )


def broken(request: HttpRequest) -> HttpResponse:
    """500: a fault of the program. It renders without the store, which may be what broke."""
    text = (
        "This page could not be made. What you sent was kept whole or not at all: open the thing again to "
        "see. The server's log says where it happened."
    )
    return HttpResponse(_bare("A fault of the program", text), status=500)


def stale_form(request: HttpRequest, reason: str = "") -> HttpResponse:
    """403: a form from a page that is too old, or from another site."""
    return _page(
        request,
        403,
        "This form is too old",
        "Nothing was changed. You may have signed in or out in another window since the page was opened. "
        "Go back, open the page anew and send it again.",
    )


def store_busy(request: HttpRequest, error: Exception) -> HttpResponse:
    """503: the database is locked, gone, or the disk is full."""
    _LOG.error("the store could not be used: %s", error)
    full = "full" in str(error) or getattr(error, "errno", 0) == 28
    why = "the disk is full" if full else "it is busy or can't be reached"
    text = (
        f"{why[0].upper()}{why[1:]}. Nothing of what you sent was half written. Go back: your text is still "
        "in the page. Send it again in a moment; where that does not help, tell whoever runs the server."
    )
    response = HttpResponse(_bare("The store can't be written just now", text), status=503)
    response["Retry-After"] = "5"
    return response


def _bare(heading: str, text: str) -> str:
    """A page that needs neither the store nor a template."""
    return (
        f"<!doctype html><html lang=en><meta charset=utf-8><meta name=viewport content='width=device-width'>"
        f"<title>{heading}</title><h1>{heading}</h1><p>{text}</p><p><a href=/today/>Back to today</a></p>"
    )
