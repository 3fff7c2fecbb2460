"""Addresses where rigs are begun, edited and saved."""

from __future__ import annotations

from django.urls import URLPattern, path

from ropewright.web.rigs.views.editor import edit, live, signed_in_again
from ropewright.web.rigs.views.saving import beside, save_text
from ropewright.web.rigs.views.starter import start, start_look, start_picture
from ropewright.web.rigs.views.tables import table

urlpatterns: list[URLPattern] = [
    path("new/", start, name="start"),
    path("new/look/", start_look, name="start-look"),
    path("new/pictures/<slug:kind>.svg", start_picture, name="start-picture"),
    path("live/", live, name="live"),
    path("tables/", table, name="tables"),
    path("edit/signed-in/", signed_in_again, name="signed-in"),
    path("<slug:rig>/edit/", edit, name="edit"),
    path("<slug:rig>/edit/save/", save_text, name="save"),
    path("<slug:rig>/edit/beside/<int:number>/", beside, name="beside"),
]
