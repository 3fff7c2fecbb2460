"""Addresses of the interface for scripts."""

from django.urls import URLPattern

app_name = "interface"
urlpatterns: list[URLPattern] = []
