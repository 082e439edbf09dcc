"""Tells Django the app's name and label, and loads what the apps below ask of it."""

from django.apps import AppConfig


class LogsConfig(AppConfig):
    """The logs app."""

    name = "programs.logs"
    label = "logs"

    def ready(self) -> None:
        from programs.logs import export, retention  # noqa: F401
        from programs.logs.intake import services  # noqa: F401
        from programs.logs.selectors import last_times  # noqa: F401
        from programs.logs.services import derive, needs, words  # noqa: F401
