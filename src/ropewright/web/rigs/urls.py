"""Addresses of rigs. Those with a fixed word come first: a rig never has such a name (`names`)."""

from django.urls import path

from ropewright.web.rigs import urls_edit
from ropewright.web.rigs.views.library import library
from ropewright.web.rigs.views.page import open_rig

app_name = "rigs"
urlpatterns = [
    path("", library, name="library"),
    *urls_edit.urlpatterns,
    path("<slug:rig>/", open_rig, name="open"),
]
