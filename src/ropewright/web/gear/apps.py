"""How Django knows this app."""

import logging

from django.apps import AppConfig


class GearConfig(AppConfig):
    """The app of gear."""

    name = "ropewright.web.gear"
    label = "gear"

    def ready(self) -> None:
        """Keep the secrets of calendar addresses out of what Django logs of requests."""
        from ropewright.web.gear.calendar import WithoutSecrets

        for name in ("django.request", "django.security", "django.server"):
            logging.getLogger(name).addFilter(WithoutSecrets())
