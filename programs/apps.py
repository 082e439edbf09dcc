"""Tells Django the app's name and label, and loads what the app below asks of it."""

from django.apps import AppConfig


class ProgramsConfig(AppConfig):
    """The programs app."""

    name = "programs"
    label = "programs"

    def ready(self) -> None:
        from programs.groups import services  # noqa: F401
        from programs.services import erasing  # noqa: F401
