"""Signing in and out, and the first account of all."""

from __future__ import annotations

from django.contrib.auth import login
from django.contrib.auth.views import LoginView, LogoutView
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from ropewright.web.access import open_to_all
from ropewright.web.accounts.first import TooLate, make_first
from ropewright.web.accounts.forms import FirstAccountForm, SignInForm
from ropewright.web.accounts.models import Account

__all__ = ["BACKEND", "first", "sign_in", "sign_out"]

BACKEND = "django.contrib.auth.backends.ModelBackend"

_LOGIN = LoginView.as_view(
    template_name="accounts/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)
sign_out = open_to_all(LogoutView.as_view())


@open_to_all
@require_http_methods(["GET", "HEAD", "POST"])
def sign_in(request: HttpRequest) -> HttpResponseBase:
    """Sign in; where there is no account at all, make the first one."""
    if not Account.objects.exists():
        return redirect("accounts:first")
    answer = _LOGIN(request)
    if request.method == "POST" and answer.status_code == 200:
        answer.status_code = 422  # refused: the form is shown again
    return answer


@open_to_all
@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters()
@never_cache
def first(request: HttpRequest) -> HttpResponse:
    """Make the first lead instructor and the team's first rules; there only while there is no account."""
    if Account.objects.exists():
        raise Http404
    form = FirstAccountForm(request.POST or None)
    if request.method != "POST" or not form.is_valid():
        status = 422 if request.method == "POST" else 200
        return render(request, "accounts/first.html", {"form": form}, status=status)
    given = form.cleaned_data
    try:
        account = make_first(
            form.save(commit=False), given["own_name"], given["team"], given["zone"], given["units"]
        )
    except TooLate:
        raise Http404 from None
    login(request, account, backend=BACKEND)
    return redirect("pages:today")
