"""One's own page: the entry on the roster, the password, signing out everywhere."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import logout, update_session_auth_hash
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import may, signed_in
from ropewright.web.accounts.forms import OwnPasswordForm
from ropewright.web.interface.tokens import revoke_all
from ropewright.web.people.entry import entry_of

__all__ = ["leave_everywhere", "me", "password"]


@require_safe
@may("be signed in")
def me(request: HttpRequest) -> HttpResponse:
    """One's own account, and one's own entry on the roster."""
    account = signed_in(request)
    entry = entry_of(account.person, account) if account.person else None
    return render(request, "accounts/me.html", {"entry": entry})


@require_http_methods(["GET", "HEAD", "POST"])
@may("be signed in")
@sensitive_post_parameters()
@never_cache
def password(request: HttpRequest) -> HttpResponse:
    """Change one's own password; every other session of the account, and its tokens, end."""
    form = OwnPasswordForm(signed_in(request), request.POST or None)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            account = form.save()
            ended = revoke_all(account)
        update_session_auth_hash(request, account)
        messages.success(
            request, f"Your password is changed. Everywhere else you are signed out.{_tokens(ended)}"
        )
        return redirect("accounts:me")
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/password.html", {"form": form}, status=status)


@require_POST
@may("be signed in")
def leave_everywhere(request: HttpRequest) -> HttpResponse:
    """Sign out on every machine, this one too, and revoke one's tokens."""
    account = signed_in(request)
    with transaction.atomic():
        account.sessions += 1
        account.save(update_fields=["sessions"])
        ended = revoke_all(account)
    logout(request)
    messages.success(request, f"You are signed out everywhere.{_tokens(ended)}")
    return redirect("accounts:sign-in")


def _tokens(ended: int) -> str:
    """What to tell of tokens that ended with a password or with the sessions."""
    if not ended:
        return ""
    return " Your token is revoked." if ended == 1 else f" Your {ended} tokens are revoked."
