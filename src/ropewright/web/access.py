"""Who may do what: one table of acts and roles, and the mark that every view carries.

A view without a mark is refused by the test that walks every address. What depends on the thing itself (whose
mass, whose document) is asked in the view, by the helpers at the end.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import TYPE_CHECKING, Any, TypeVar, cast

from django.contrib.auth.decorators import login_not_required
from django.core.exceptions import PermissionDenied
from django.db.models import TextChoices
from django.http import HttpRequest

if TYPE_CHECKING:
    from ropewright.web.accounts.models import Account
    from ropewright.web.people.models import Person

__all__ = ["ACTS", "Role", "allowed", "may", "open_to_all", "reads_papers", "sees_mass", "signed_in"]


class Role(TextChoices):
    """What somebody is in the team."""

    LEAD = "lead", "lead instructor"
    INSTRUCTOR = "instructor", "instructor"
    CUSTODIAN = "custodian", "gear custodian"
    STUDENT = "student", "student"
    AUDITOR = "auditor", "auditor (reads only)"


_ALL = frozenset(Role)
_TEACH = frozenset({Role.LEAD, Role.INSTRUCTOR})
_STAFF = frozenset({Role.LEAD, Role.INSTRUCTOR, Role.CUSTODIAN})

ACTS: Mapping[str, frozenset[Role]] = {
    "be signed in": _ALL,
    "see rigs": _ALL,
    "edit rigs": _TEACH,
    "see procedures": _ALL,
    "edit procedures": _TEACH,
    "see gear": _ALL,
    "keep gear": frozenset({Role.LEAD, Role.CUSTODIAN}),
    "log use": _STAFF,
    "report an event": _ALL - {Role.AUDITOR},
    "see people": _STAFF | {Role.AUDITOR},
    "see masses": _TEACH,
    "keep people": frozenset({Role.LEAD}),
    "see plans": _STAFF | {Role.AUDITOR},
    "plan": _STAFF,
    "see policy": _ALL,
    "keep policy": frozenset({Role.LEAD}),
    "keep accounts": frozenset({Role.LEAD}),
    "read by program": _ALL,
}

View = TypeVar("View", bound=Callable[..., Any])


def allowed(account: object, act: str) -> bool:
    """Whether somebody may do an act of the table; nobody who is not signed in may do any."""
    return getattr(account, "is_active", False) and getattr(account, "role", None) in ACTS[act]


def may(act: str) -> Callable[[View], View]:
    """Mark a view with the act that it takes; whoever may not do it gets the page that says so (403)."""
    if act not in ACTS:
        raise KeyError(f"no act is called '{act}'; known are {', '.join(ACTS)}")

    def mark(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> Any:
            if not allowed(request.user, act):
                raise PermissionDenied(act)
            return view(request, *args, **kwargs)

        guarded.act = act  # type: ignore[attr-defined]
        return cast(View, guarded)

    return mark


def open_to_all(view: View) -> View:
    """Mark a view that anybody may open, signed in or not."""
    view = login_not_required(view)
    view.act = None  # type: ignore[attr-defined]
    return view


def signed_in(request: HttpRequest) -> Account:
    """The account that asks, behind `may`."""
    return cast("Account", request.user)


def sees_mass(account: Account, person: Person) -> bool:
    """Whether somebody may read a person's mass, pull and limits: those who teach, and the person."""
    return allowed(account, "see masses") or (
        account.person_id is not None and account.person_id == person.pk
    )


def reads_papers(account: Account, person: Person) -> bool:
    """Whether somebody may read a person's documents: who may read the mass, and the auditor."""
    return sees_mass(account, person) or (account.is_active and account.role == Role.AUDITOR)
