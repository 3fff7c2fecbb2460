"""How Django knows this app."""

from django.apps import AppConfig


class WorkingsConfig(AppConfig):
    """The app of workings."""

    name = "ropewright.web.workings"
    label = "workings"
