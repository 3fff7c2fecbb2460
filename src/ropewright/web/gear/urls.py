"""Addresses of gear."""

from django.urls import path

from ropewright.web.gear import views

app_name = "gear"
urlpatterns = [
    path("", views.items, name="list"),
]
