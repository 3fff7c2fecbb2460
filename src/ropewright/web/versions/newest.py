"""Which look of a page is the newest: a browser drops the older ones, so the server need not go on."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable
from threading import Lock

__all__ = ["overtaken_by_a_newer"]

KEPT = 500
_newest: OrderedDict[tuple[int, str], object] = OrderedDict()
_lock = Lock()


def overtaken_by_a_newer(account: int, page: str) -> Callable[[], bool]:
    """Take the place of the newest look of somebody's page; the answer tells whether a newer one has taken it
    since. One that names no page is never overtaken.

    Pages are told apart within one process of the server: an older look in another goes on to its limit.
    """
    if not page:
        return lambda: False
    mine, key = object(), (account, page)
    with _lock:
        _newest[key] = mine
        _newest.move_to_end(key)
        while len(_newest) > KEPT:
            _newest.popitem(last=False)
    return lambda: _newest.get(key, mine) is not mine
