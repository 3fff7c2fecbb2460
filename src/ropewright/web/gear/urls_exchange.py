"""Addresses of what goes in and out as files: tables and documents of gear."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
