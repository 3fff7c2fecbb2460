"""How Django knows this app."""

from django.apps import AppConfig


class RigsConfig(AppConfig):
    """The app of rigs."""

    name = "ropewright.web.rigs"
    label = "rigs"
