"""How Django knows this app."""

from django.apps import AppConfig


class PagesConfig(AppConfig):
    """The app of pages."""

    name = "ropewright.web.pages"
    label = "pages"
