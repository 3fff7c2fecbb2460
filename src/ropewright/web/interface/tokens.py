"""Tokens: made once, shown once, kept as a fingerprint; each reads what its owner may read."""

from __future__ import annotations

import secrets
from datetime import timedelta

from django.http import HttpRequest
from django.utils import timezone
from ninja.security import HttpBearer

from ropewright.web.access import allowed
from ropewright.web.accounts.models import Account, fingerprint
from ropewright.web.best_effort import best_effort
from ropewright.web.interface.models import Token

__all__ = ["ByToken", "account_of", "make_token", "revoke_all"]

_PREFIX = "rw_"  # so that a token that turns up in a log or a commit is known for what it is
_SEEN_AGAIN = timedelta(minutes=10)


def make_token(account: Account, name: str, days: int | None) -> str:
    """Make a token and give its secret, which is stored nowhere."""
    secret = _PREFIX + secrets.token_urlsafe(32)
    expires = timezone.now() + timedelta(days=days) if days else None
    Token.objects.create(account=account, name=name, secret=fingerprint(secret), expires=expires)
    return secret


def revoke_all(account: Account) -> int:
    """Revoke every token of an account for good; give how many there were."""
    return Token.objects.filter(account=account, revoked=None).update(revoked=timezone.now())


def account_of(secret: str) -> Account | None:
    """Whose token it is; None where there is none such, or it has expired, or its owner was shut out."""
    token = Token.objects.select_related("account__person").filter(secret=fingerprint(secret)).first()
    now = timezone.now()
    if token is None or token.revoked or (token.expires and token.expires < now):
        return None
    if not allowed(token.account, "read by program"):
        return None
    if token.used is None or now - token.used > _SEEN_AGAIN:  # no write for every call
        best_effort(lambda: Token.objects.filter(pk=token.pk).update(used=now))
    return token.account


class ByToken(HttpBearer):
    """`Authorization: Bearer …`, and nothing else: a browser's session opens nothing here."""

    def authenticate(self, request: HttpRequest, token: str) -> Account | None:
        """The account, which stands as the request's user from here on."""
        account = account_of(token)
        if account is not None:
            request.user = account
        return account
