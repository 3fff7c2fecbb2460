"""One's own tokens, and what they open."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from ropewright.web.access import may, open_to_all, signed_in
from ropewright.web.interface.api import description
from ropewright.web.interface.forms import TokenForm
from ropewright.web.interface.models import Token
from ropewright.web.interface.tokens import make_token

__all__ = ["described", "revoke", "tokens"]


@require_http_methods(["GET", "HEAD", "POST"])
@may("read by program")
def tokens(request: HttpRequest) -> HttpResponse:
    """List one's tokens and make another; its secret is shown this once."""
    account, secret = signed_in(request), ""
    form = TokenForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        secret = make_token(account, form.cleaned_data["name"], form.cleaned_data["days"] or None)
        form = TokenForm()
    wrong = request.method == "POST" and not secret
    context = {"form": form, "secret": secret, "tokens": account.tokens.all(), "now": timezone.now()}
    response = render(request, "interface/tokens.html", context, status=422 if wrong else 200)
    response["Cache-Control"] = "no-store"
    return response


@require_POST
@may("read by program")
def revoke(request: HttpRequest, token: int) -> HttpResponse:
    """End one of one's own tokens."""
    found = get_object_or_404(Token, pk=token, account=signed_in(request))
    Token.objects.filter(pk=found.pk, revoked=None).update(revoked=timezone.now())
    messages.success(request, f"{found.name}: revoked. A program that uses it is refused from now on.")
    return redirect("interface:tokens")


@open_to_all
@require_safe
def described(request: HttpRequest) -> HttpResponse:
    """The interface in OpenAPI's words: names and types, no data."""
    return JsonResponse(description(reverse("interface:tokens")))
