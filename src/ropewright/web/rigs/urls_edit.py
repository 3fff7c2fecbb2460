"""Addresses where rigs are begun, edited and saved."""

from __future__ import annotations

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
