"""Addresses of planning."""

from django.urls import path

from ropewright.web.planning import views

app_name = "planning"
urlpatterns = [
    path("", views.plans, name="plans"),
]
