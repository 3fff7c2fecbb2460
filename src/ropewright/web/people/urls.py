"""Addresses of people."""

from django.urls import path

from ropewright.web.people import views

app_name = "people"
urlpatterns = [
    path("", views.roster, name="roster"),
]
