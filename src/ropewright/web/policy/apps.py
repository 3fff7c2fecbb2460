"""How Django knows this app."""

from django.apps import AppConfig


class PolicyConfig(AppConfig):
    """The app of policy."""

    name = "ropewright.web.policy"
    label = "policy"
