"""How large a file may be; one that is larger is refused before any of it is kept."""

from __future__ import annotations

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

__all__ = ["most_bytes", "too_large", "upload_limit"]

ROOM_FOR_FIELDS = 100_000
"""Bytes that a form may have beside its file."""
_MOST_PASSED_OVER = 200_000_000
_PIECE = 65_536

Answer = Callable[[HttpRequest], HttpResponse]


def most_bytes() -> int:
    """The most bytes that one file may have."""
    return int(settings.ENVIRONMENT.upload_bytes)


def too_large(size: int) -> str:
    """Why a file of a size is refused; nothing where it is not."""
    if size <= most_bytes():
        return ""
    return (
        f"The file has {size / 1e6:.1f} MB; {most_bytes() / 1e6:.0f} MB are the most. "
        "Make the photograph smaller, or send the document in parts."
    )


def upload_limit(get_response: Answer) -> Answer:
    """Refuse a request that says it is larger than any file may be, before anything reads it."""

    def answer(request: HttpRequest) -> HttpResponse:
        stated = request.META.get("CONTENT_LENGTH") or "0"
        size = int(stated) if stated.isdecimal() else 0
        if request.method in ("GET", "HEAD") or size <= most_bytes() + ROOM_FOR_FIELDS:
            return get_response(request)
        response = render(
            request,
            "trouble.html",
            {
                "heading": "That file is too large",
                "text": f"{too_large(size)} Nothing was kept.",
                "next_url": request.path,
                "next_words": "Choose another file",
            },
            status=413,
        )
        if size <= _MOST_PASSED_OVER:
            _pass_over(request, size)  # a browser shows no answer before it has sent everything
        return response

    return answer


def _pass_over(request: HttpRequest, size: int) -> None:
    """Let the rest of a request go by, piece by piece and kept nowhere."""
    try:
        while size > 0 and (piece := request.read(min(_PIECE, size))):
            size -= len(piece)
    except OSError:
        return
