"""How Django knows this app."""

from django.apps import AppConfig


class AccountsConfig(AppConfig):
    """The app of accounts."""

    name = "ropewright.web.accounts"
    label = "accounts"
