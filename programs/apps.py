"""Tells Django the app's name and label."""

from django.apps import AppConfig


class ProgramsConfig(AppConfig):
    """The programs app."""

    name = "programs"
    label = "programs"
