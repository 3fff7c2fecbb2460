"""What a browser gets instead of a page whose results are worked out beside the server."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.cache import add_never_cache_headers

from ropewright.web.workings.asking import asked_by
from ropewright.web.workings.background import MOST_WAITING, TooManyError, again
from ropewright.web.workings.models import Working
from ropewright.web.workings.waiting import StillWorkingError

__all__ = ["too_many_answer", "wait_answer", "waits"]

_TOKEN = "csrfmiddlewaretoken"


class waits:  # noqa: N801 - middleware is named like a function
    """Answers for every view that meets something to be waited for."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        with asked_by(request):
            return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Turn what is to be waited for into a page that waits; leave everything else alone."""
        if isinstance(error, TooManyError):
            return too_many_answer(request)
        return wait_answer(request, error) if isinstance(error, StillWorkingError) else None


def wait_answer(
    request: HttpRequest,
    error: StillWorkingError,
    template: str = "workings/page.html",
    context: Mapping[str, Any] | None = None,
) -> HttpResponse:
    """The page that waits and then opens anew by itself, or the part of a page that asks again; what could
    not be worked out is told there, with a way to try again.
    """
    try:
        row = error.ask()
        if request.method == "POST" and row.has_failed:  # whoever sends a form once more asks for another try
            again(row)
    except TooManyError:
        return too_many_answer(request)
    shown = {**(context or {}), "row": row, "what": error.what, "then": _then(request)}
    htmx: Any = getattr(request, "htmx", None)
    if _is_part(request):
        back = htmx.current_url_abs_path or ""
        answer = render(
            request, "workings/part.html", {**shown, "back": back}, status=_status(row, part=True)
        )
    else:
        fields = [(key, value) for key, values in request.POST.lists() if key != _TOKEN for value in values]
        shown |= {"back": request.get_full_path(), "fields": fields}
        answer = render(request, template, shown, status=_status(row))
    add_never_cache_headers(answer)
    return answer


def too_many_answer(request: HttpRequest) -> HttpResponse:
    """What an account gets that asks for more while all that may wait for it waits already."""
    part = _is_part(request)
    answer = render(
        request,
        "workings/many_part.html" if part else "workings/many.html",
        {"most": MOST_WAITING},
        status=HTTPStatus.OK if part else HTTPStatus.TOO_MANY_REQUESTS,
    )
    answer["Retry-After"] = "30"
    add_never_cache_headers(answer)
    return answer


def _is_part(request: HttpRequest) -> bool:
    htmx: Any = getattr(request, "htmx", None)
    return bool(htmx) and not htmx.boosted


def _then(request: HttpRequest) -> str:
    """What is done once it is there: pages are opened anew, files and sent forms can't be."""
    if request.method == "POST":
        return "form"
    return "" if request.path.endswith("/") else "file"


def _status(row: Working, *, part: bool = False) -> int:
    if row.has_failed:  # a part of a page is put into it only where it is no error
        return HTTPStatus.OK if part else HTTPStatus.INTERNAL_SERVER_ERROR
    return HTTPStatus.ACCEPTED
