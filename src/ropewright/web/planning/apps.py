"""How Django knows this app."""

from django.apps import AppConfig


class PlanningConfig(AppConfig):
    """The app of planning."""

    name = "ropewright.web.planning"
    label = "planning"
