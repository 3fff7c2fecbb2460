"""Who asks: the account of the request that is being answered, for whatever is asked for on its behalf."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar

from django.http import HttpRequest

__all__ = ["account", "asked_by"]

_request: ContextVar[HttpRequest | None] = ContextVar("the request that is being answered", default=None)


@contextmanager
def asked_by(request: HttpRequest | None) -> Iterator[None]:
    """Within this, work is asked for by the account of a request, or by nobody in particular."""
    token = _request.set(request)
    try:
        yield
    finally:
        _request.reset(token)


def account() -> int | None:
    """The key of the account that asks; None where nobody in particular does.

    Read when it is needed: a script's account is known only once its token was looked up.
    """
    user = getattr(_request.get(), "user", None)
    return user.pk if user is not None and user.is_authenticated else None
