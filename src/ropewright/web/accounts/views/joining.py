"""Using a link that works once: making an account, choosing a new password."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from ropewright.web.access import open_to_all
from ropewright.web.accounts.forms import JoinForm, NewPasswordForm
from ropewright.web.accounts.invitations import NotOpen, choose_password, opened
from ropewright.web.accounts.invitations import join as save_account
from ropewright.web.accounts.views.signing import BACKEND

__all__ = ["join", "new_password"]


@open_to_all
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters()
@never_cache
def join(request: HttpRequest, secret: str) -> HttpResponse:
    """Make the account that an invitation is for."""
    try:
        link = opened(secret)
        if request.user.is_authenticated:
            return _signed_in(request)
        form = JoinForm(request.POST or None)
        if request.method == "POST" and form.is_valid():
            account = save_account(secret, form.save(commit=False))
            login(request, account, backend=BACKEND)
            messages.success(request, f"Your account is made. You are signed in as {account}.")
            return redirect("pages:today")
    except NotOpen:
        return _not_open(request)
    context = {"form": form, "link": link}
    return render(request, "accounts/join.html", context, status=422 if request.method == "POST" else 200)


@open_to_all
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters()
@never_cache
def new_password(request: HttpRequest, secret: str) -> HttpResponse:
    """Choose a new password by a link that a lead instructor handed over."""
    try:
        link = opened(secret, reset=True)
        form = NewPasswordForm(link.account, request.POST or None)
        if request.method == "POST" and form.is_valid():
            choose_password(secret, form.cleaned_data["new_password1"])
            messages.success(request, "Your password is changed. Sign in with the new one.")
            return redirect("accounts:sign-in")
    except NotOpen:
        return _not_open(request)
    context = {"form": form, "link": link}
    status = 422 if request.method == "POST" else 200
    return render(request, "accounts/new_password.html", context, status=status)


def _signed_in(request: HttpRequest) -> HttpResponse:
    text = (
        f"You are signed in as {request.user}. Sign out first: this link makes an account for somebody else."
    )
    return render(request, "trouble.html", {"heading": "Signed in already", "text": text}, status=409)


def _not_open(request: HttpRequest) -> HttpResponse:
    text = (
        "It was used, withdrawn or left lying too long, or it was not copied whole. "
        "Ask a lead instructor for a new one."
    )
    return render(request, "trouble.html", {"heading": "This link opens nothing", "text": text}, status=404)
