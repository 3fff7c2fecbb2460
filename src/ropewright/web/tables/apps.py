"""How Django knows this app."""

from django.apps import AppConfig


class TablesConfig(AppConfig):
    """The app of tables: files that wait between their preview and its confirmation."""

    name = "ropewright.web.tables"
    label = "tables"
