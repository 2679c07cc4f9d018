from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """The wiring: commands and checks of the processes, no tables."""

    name = "config"
