"""Addresses of policy."""

from django.urls import path

from ropewright.web.policy import views

app_name = "policy"
urlpatterns = [
    path("", views.current, name="current"),
]
