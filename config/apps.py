from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """The wiring: commands and checks of the processes, no tables."""

    name = "config"

    def ready(self):
        from config import checks  # noqa: F401, it registers them
