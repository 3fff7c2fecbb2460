"""The front door, today's state of the team, and the files that make the app installable."""

from __future__ import annotations

import hashlib

from django.db import connection
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.templatetags.static import static
from django.utils import timezone
from django.views.decorators.http import require_safe

from ropewright import __version__
from ropewright.web.access import may, open_to_all, signed_in
from ropewright.web.pages.keeping import kept_offline
from ropewright.web.pages.state import holdings, wants
from ropewright.web.policy.now import rules_now
from ropewright.web.rigs.cards import is_fresh
from ropewright.web.rigs.models import Rig

__all__ = ["front", "health", "manifest", "offline", "today", "worker"]


@open_to_all
@require_safe
def front(request: HttpRequest) -> HttpResponse:
    """The bare address leads to today."""
    return redirect("pages:today")


@kept_offline
@require_safe
@may("be signed in")
def today(request: HttpRequest) -> HttpResponse:
    """What the team has, what wants doing, and the rigs that were changed last."""
    account, day = signed_in(request), timezone.localdate()
    rigs = Rig.objects.filter(put_away=None).select_related("card").order_by("-changed")[:4]
    context = {
        "day": day,
        "holdings": list(holdings(account)),
        "wants": list(wants(account, day)),
        "rigs": [{"rig": rig, "card": rig.card if is_fresh(rig) else None} for rig in rigs],
    }
    return render(request, "pages/today.html", context)


@open_to_all
@require_safe
def health(request: HttpRequest) -> HttpResponse:
    """Whether it runs and reaches its store; for machines that watch."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT 1")
        cursor.fetchone()
    return JsonResponse({"ok": True, "version": __version__})


@open_to_all
@require_safe
def offline(request: HttpRequest) -> HttpResponse:
    """What is shown without a network for pages that were never opened."""
    return render(request, "pages/offline.html")


@open_to_all
@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """The web app manifest."""
    data = {
        "name": f"{rules_now().team} rigs",
        "short_name": "Rigs",
        "start_url": "/today/",
        "scope": "/",
        "display": "standalone",
        "background_color": "#f7f3e8",
        "theme_color": "#f7f3e8",
        "icons": [
            {"src": static("ropewright/icon-192.png"), "sizes": "192x192", "type": "image/png"},
            {"src": static("ropewright/icon-512.png"), "sizes": "512x512", "type": "image/png"},
            {"src": static("ropewright/icon.svg"), "sizes": "any", "type": "image/svg+xml"},
        ],
    }
    return JsonResponse(data, content_type="application/manifest+json")


SHELL_FILES = (
    "ropewright/book.css",
    "ropewright/shell.js",
    "ropewright/offline.js",
    "ropewright/icon.svg",
    "fonts/SourceSansPro-Regular.ttf",
    "fonts/SourceSansPro-Semibold.ttf",
    "fonts/SourceSansPro-It.ttf",
)
"""What every page needs, kept on the device with the page that stands in for those never opened."""


@open_to_all
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps pages for when there is no network; at the root, so that it covers every page."""
    files = [static(name) for name in SHELL_FILES]
    version = hashlib.sha256("".join([__version__, *files]).encode()).hexdigest()[:12]
    response = render(
        request, "pages/worker.js", {"files": files, "version": version}, content_type="text/javascript"
    )
    response["Cache-Control"] = "no-cache"
    return response
