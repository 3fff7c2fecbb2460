"""How Django knows this app."""

from django.apps import AppConfig


class DemoConfig(AppConfig):
    """The app of demo."""

    name = "ropewright.web.demo"
    label = "demo"
