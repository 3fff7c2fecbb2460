"""Signing in, the first account, and one's own page."""

from __future__ import annotations

from django.contrib.auth import login
from django.contrib.auth.views import LoginView
from django.db import transaction
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from ropewright.web.access import Role, may, open_to_all
from ropewright.web.accounts.forms import FirstAccountForm, SignInForm
from ropewright.web.accounts.models import Account

__all__ = ["first", "me", "sign_in"]

_LOGIN = LoginView.as_view(
    template_name="accounts/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)


@open_to_all
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponseBase:
    """Sign in; where there is no account at all, make the first one."""
    if not Account.objects.exists():
        return redirect("accounts:first")
    return _LOGIN(request)


@open_to_all
@require_http_methods(["GET", "HEAD", "POST"])
def first(request: HttpRequest) -> HttpResponse:
    """Make the first lead instructor. It is there only while there is no account."""
    if Account.objects.exists():
        raise Http404
    form = FirstAccountForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            if Account.objects.select_for_update().exists():
                raise Http404
            account = form.save(commit=False)
            account.role = Role.LEAD
            account.save()
        login(request, account, backend="django.contrib.auth.backends.ModelBackend")
        return redirect("pages:today")
    return render(request, "accounts/first.html", {"form": form})


@require_safe
@may("be signed in")
def me(request: HttpRequest) -> HttpResponse:
    """One's own account."""
    return render(request, "accounts/me.html")
