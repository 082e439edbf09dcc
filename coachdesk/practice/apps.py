"""Tells Django the app's name and label."""

from django.apps import AppConfig


class PracticeConfig(AppConfig):
    """The practice app."""

    name = "coachdesk.practice"
    label = "practice"
