"""Addresses of rigs."""

from django.urls import path

from ropewright.web.rigs import views

app_name = "rigs"
urlpatterns = [
    path("", views.library, name="library"),
    path("<slug:rig>/", views.open_rig, name="open"),
]
