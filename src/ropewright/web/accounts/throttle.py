"""What somebody sees who gave too many wrong passwords."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

__all__ = ["locked_out"]


def locked_out(request: HttpRequest, *_args: Any, **_kwargs: Any) -> HttpResponse:
    """429: this name is shut out from this address for a while."""
    text = (
        "Too many wrong passwords for this name from this address. Wait a quarter of an hour, or ask a lead "
        "instructor."
    )
    return render(request, "trouble.html", {"heading": "Shut out for a while", "text": text}, status=429)
