"""Addresses of procedures."""

from django.urls import path

from ropewright.web.procedures import views

app_name = "procedures"
urlpatterns = [
    path("", views.library, name="library"),
]
