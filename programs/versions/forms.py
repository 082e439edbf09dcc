"""Binding what a coach types about versions."""

from django import forms
from django.http import QueryDict

from coachdesk.practice.text import CleanFormField

CLASH = "clash:"


class VersionForm(forms.Form):
    """A note on what a version is for."""

    note = CleanFormField(label="What changed, or what it is for", max_length=200, required=False)


def choices_of(posted: QueryDict) -> dict[str, str]:
    """Which side was chosen for each clash, by its key."""
    return {name.removeprefix(CLASH): str(posted[name]) for name in posted if name.startswith(CLASH)}
