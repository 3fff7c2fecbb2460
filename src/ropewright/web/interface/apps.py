"""How Django knows this app."""

from django.apps import AppConfig


class InterfaceConfig(AppConfig):
    """The app of interface."""

    name = "ropewright.web.interface"
    label = "interface"
