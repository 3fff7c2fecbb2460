"""Addresses of the interface for scripts, and of the page for one's tokens."""

from django.urls import path

from ropewright.web.interface import views
from ropewright.web.interface.api import patterns

app_name = "interface"
urlpatterns = [
    path("", views.tokens, name="tokens"),
    path("tokens/<int:token>/revoke/", views.revoke, name="revoke"),
    path("openapi.json", views.described, name="openapi-json"),
    *patterns(),
]
