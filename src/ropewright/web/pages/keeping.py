"""Which pages a device keeps for when it has no network: those whose views say so."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar, cast

__all__ = ["HEADER", "kept_offline"]

HEADER = "Ropewright-Keep"
View = TypeVar("View", bound=Callable[..., Any])


def kept_offline(view: View) -> View:
    """Mark a view whose pages stay readable without a network. Never one that lists people."""

    @wraps(view)
    def marked(*args: Any, **kwargs: Any) -> Any:
        response = view(*args, **kwargs)
        if response.status_code == 200:
            response[HEADER] = "1"
        return response

    return cast(View, marked)
