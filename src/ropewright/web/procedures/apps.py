"""How Django knows this app."""

from django.apps import AppConfig


class ProceduresConfig(AppConfig):
    """The app of procedures."""

    name = "ropewright.web.procedures"
    label = "procedures"
