"""Addresses of what goes in and out of the roster, and of the documents of people."""

from django.urls import URLPattern

exchange: list[URLPattern] = []
