"""Tells Django the app's name and label, and loads what must be forgotten with an erased client."""

from django.apps import AppConfig


class ProgramsConfig(AppConfig):
    """The programs app."""

    name = "programs"
    label = "programs"

    def ready(self) -> None:
        from programs.services import erasing  # noqa: F401
