"""How Django knows this app."""

from django.apps import AppConfig


class GearConfig(AppConfig):
    """The app of gear."""

    name = "ropewright.web.gear"
    label = "gear"
