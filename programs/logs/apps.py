"""Tells Django the app's name and label, and loads what must be worked out anew after an undo."""

from django.apps import AppConfig


class LogsConfig(AppConfig):
    """The logs app."""

    name = "programs.logs"
    label = "logs"

    def ready(self) -> None:
        from programs.logs.services import derive  # noqa: F401
