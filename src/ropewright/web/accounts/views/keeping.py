"""Keeping accounts: who may sign in, as what, and links that work once."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import Role, may, signed_in
from ropewright.web.accounts.forms import InvitationForm, PersonForm, RoleForm
from ropewright.web.accounts.invitations import invite as make_invitation
from ropewright.web.accounts.invitations import offer_reset
from ropewright.web.accounts.invitations import withdraw as stop
from ropewright.web.accounts.keeping import NotChanged, set_active, set_person, set_role
from ropewright.web.accounts.models import Account, Invitation
from ropewright.web.histories import Told, changes

__all__ = ["account", "accounts", "active", "invitations", "invite", "person", "reset", "role", "withdraw"]

_A_PAGE = 50
_TOLD: Mapping[str, Told] = {
    "username": ("signs in as", str),
    "role": ("role", lambda value: str(Role(value).label)),
    "is_active": ("may sign in", lambda value: "yes" if value else "no"),
    "person": ("on the roster", lambda value: str(value) if value else "nobody"),
}


@require_safe
@may("keep accounts")
def accounts(request: HttpRequest) -> HttpResponse:
    """Every account, those that may sign in first."""
    found = Account.objects.select_related("person").order_by("-is_active", "username")
    page = Paginator(found, _A_PAGE).get_page(request.GET.get("page"))
    open_links = sum(link.open for link in Invitation.objects.filter(used=None, withdrawn=None)[:500])
    return render(request, "accounts/accounts.html", {"page": page, "open_links": open_links})


@require_safe
@may("keep accounts")
def account(request: HttpRequest, account: int) -> HttpResponse:
    """One account, and what may be changed on it."""
    found = get_object_or_404(Account.objects.select_related("person"), pk=account)
    records = found.history.select_related("history_user__person", "person")[:100]
    context = {
        "account": found,
        "own": found.pk == signed_in(request).pk,
        "role_form": RoleForm(initial={"role": found.role}),
        "person_form": PersonForm(found),
        "changes": changes(records, _TOLD),
    }
    return render(request, "accounts/account.html", context)


@require_POST
@may("keep accounts")
def role(request: HttpRequest, account: int) -> HttpResponse:
    """Change a role."""
    found, form = get_object_or_404(Account, pk=account), RoleForm(request.POST)
    if not form.is_valid():
        return _told(request, found, "Not changed: choose a role of the list.")
    chosen = form.cleaned_data["role"]
    return _done(
        request,
        found,
        lambda: set_role(signed_in(request), found, chosen),
        f"{found} is {Role(chosen).label} now.",
    )


@require_POST
@may("keep accounts")
def active(request: HttpRequest, account: int) -> HttpResponse:
    """Shut an account, or open it again."""
    found, may_sign_in = get_object_or_404(Account, pk=account), request.POST.get("active") == "yes"
    words = (
        "may sign in again"
        if may_sign_in
        else "can't sign in any more, is signed out everywhere, and its tokens are revoked"
    )
    return _done(
        request,
        found,
        lambda: set_active(signed_in(request), found, may_sign_in),
        f"{found} {words}.",
    )


@require_POST
@may("keep accounts")
def person(request: HttpRequest, account: int) -> HttpResponse:
    """Say whose entry of the roster an account is."""
    found = get_object_or_404(Account, pk=account)
    form = PersonForm(found, request.POST)
    if not form.is_valid():
        return _told(request, found, "Not changed: choose somebody of the list.")
    chosen = form.cleaned_data["person"]
    words = f"{found.username} is {chosen.name} on the roster." if chosen else "It is nobody's entry now."
    return _done(request, found, lambda: set_person(found, chosen), words)


@require_POST
@may("keep accounts")
@never_cache
def reset(request: HttpRequest, account: int) -> HttpResponse:
    """Make a link for a new password; it is shown once."""
    found = get_object_or_404(Account, pk=account, is_active=True)
    if found.pk == signed_in(request).pk:
        return _told(request, found, "Change your own password on your own page.")
    link, secret = offer_reset(signed_in(request), found)
    return _shown_once(request, link, reverse("accounts:new-password", kwargs={"secret": secret}))


@require_safe
@may("keep accounts")
def invitations(request: HttpRequest) -> HttpResponse:
    """Every link, the newest first: open, used, withdrawn or expired."""
    found = Invitation.objects.select_related(
        "person", "made_by__person", "used_by__person", "account__person"
    )
    page = Paginator(found, _A_PAGE).get_page(request.GET.get("page"))
    return render(request, "accounts/invitations.html", {"page": page})


@require_http_methods(["GET", "HEAD", "POST"])
@may("keep accounts")
@never_cache
def invite(request: HttpRequest) -> HttpResponse:
    """Make an invitation; its link is shown once."""
    form = InvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        link, secret = make_invitation(signed_in(request), given["role"], given["person"], given["note"])
        return _shown_once(request, link, reverse("accounts:join", kwargs={"secret": secret}))
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/invite.html", {"form": form}, status=status)


@require_POST
@may("keep accounts")
def withdraw(request: HttpRequest, invitation: int) -> HttpResponse:
    """Stop an open link."""
    if stop(get_object_or_404(Invitation, pk=invitation)):
        messages.success(request, "The link is withdrawn; it opens nothing any more.")
    else:
        messages.error(request, "Not withdrawn: it was used or withdrawn before.")
    return redirect("accounts:invitations")


def _shown_once(request: HttpRequest, link: Invitation, path: str) -> HttpResponse:
    context = {"link": link, "address": request.build_absolute_uri(path)}
    return render(request, "accounts/shown_once.html", context)


def _done(request: HttpRequest, account: Account, work: Callable[[], None], words: str) -> HttpResponse:
    try:
        work()
    except NotChanged as error:
        return _told(request, account, str(error))
    messages.success(request, words)
    return redirect("accounts:account", account=account.pk)


def _told(request: HttpRequest, account: Account, words: str) -> HttpResponse:
    messages.error(request, words)
    return redirect("accounts:account", account=account.pk)
