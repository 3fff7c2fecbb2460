"""How Django knows this app."""

from django.apps import AppConfig


class PeopleConfig(AppConfig):
    """The app of people."""

    name = "ropewright.web.people"
    label = "people"
