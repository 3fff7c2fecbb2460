"""Every address of the app, each room with its own list."""

from django.urls import URLPattern, URLResolver, include, path

from ropewright.web.pages import trouble

__all__ = ["handler400", "handler403", "handler404", "handler500", "urlpatterns"]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", include("ropewright.web.pages.urls")),
    path("", include("ropewright.web.accounts.urls")),
    path("rigs/", include("ropewright.web.rigs.urls")),
    path("procedures/", include("ropewright.web.procedures.urls")),
    path("gear/", include("ropewright.web.gear.urls")),
    path("people/", include("ropewright.web.people.urls")),
    path("plans/", include("ropewright.web.planning.urls")),
    path("policy/", include("ropewright.web.policy.urls")),
    path("working/", include("ropewright.web.workings.urls")),
    path("interface/", include("ropewright.web.interface.urls")),
]
handler400 = trouble.not_understood
handler403 = trouble.not_allowed
handler404 = trouble.not_there
handler500 = trouble.broken
