"""Too many wrong passwords: whose they are, and what somebody sees who gave them."""

from __future__ import annotations

from ipaddress import ip_address
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

__all__ = ["address_of", "locked_out"]


def address_of(request: HttpRequest) -> str | None:
    """The address that a request comes from.

    Behind a server that ends TLS every request comes from that one; it names the address that it saw itself
    last in X-Forwarded-For, and what stands before that anybody may have written.
    """
    direct: str = request.META.get("REMOTE_ADDR", "")
    if settings.ENVIRONMENT.behind_proxy:
        named = request.META.get("HTTP_X_FORWARDED_FOR", "").rsplit(",", 1)[-1].strip()
        try:
            return str(ip_address(named))
        except ValueError:
            return direct or None
    return direct or None


def locked_out(request: HttpRequest, *_args: Any, **_kwargs: Any) -> HttpResponse:
    """429: this name is shut out from this address for a while."""
    text = (
        "Too many wrong passwords for this name from this address. Wait a quarter of an hour, or ask a lead "
        "instructor."
    )
    return render(request, "trouble.html", {"heading": "Shut out for a while", "text": text}, status=429)
