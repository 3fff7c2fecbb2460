"""What happens round every page: the team's clock, addresses that no store takes, a store out of reach."""

from __future__ import annotations

from collections.abc import Callable

from django.db import OperationalError
from django.http import HttpRequest, HttpResponse

from ropewright.web.pages.trouble import not_understood, store_busy
from ropewright.web.policy.now import by_team_clock, forget_rules

__all__ = ["no_zero_bytes", "team_time", "trouble"]

Answer = Callable[[HttpRequest], HttpResponse]


def team_time(get_response: Answer) -> Answer:
    """Show times by the team's clock, and let no shared store keep a page of somebody signed in."""

    def answer(request: HttpRequest) -> HttpResponse:
        forget_rules()
        with by_team_clock():
            response = get_response(request)
        if not response.has_header("Cache-Control"):
            response["Cache-Control"] = "private, no-cache"
        return response

    return answer


def no_zero_bytes(get_response: Answer) -> Answer:
    """Refuse an address with a zero byte: PostgreSQL can't be asked for one."""

    def answer(request: HttpRequest) -> HttpResponse:
        if "\0" in request.path or "%00" in request.META.get("QUERY_STRING", ""):
            return not_understood(request)
        return get_response(request)

    return answer


class trouble:  # noqa: N801 - named like the function that it stands beside
    """Where the database is locked or the disk is full: say so, and that nothing was changed."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_exception(self, request: HttpRequest, error: Exception) -> HttpResponse | None:
        """Turn a database that can't be written into a page; leave everything else alone."""
        if isinstance(error, OperationalError) or (isinstance(error, OSError) and error.errno == 28):
            return store_busy(request, error)
        return None
