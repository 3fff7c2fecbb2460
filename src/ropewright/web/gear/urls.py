"""Addresses of gear."""

from django.urls import URLPattern, URLResolver, include, path

from ropewright.web.gear.views import lists

app_name = "gear"
urlpatterns: list[URLPattern | URLResolver] = [
    path("", lists.items, name="list"),
    path("", include("ropewright.web.gear.urls_exchange")),
]
