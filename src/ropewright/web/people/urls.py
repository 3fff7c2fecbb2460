"""Addresses of people."""

from django.urls import URLPattern, path

from ropewright.web.people.urls_exchange import exchange
from ropewright.web.people.views.roster import roster

app_name = "people"
urlpatterns: list[URLPattern] = [
    path("", roster, name="roster"),
    *exchange,
]
