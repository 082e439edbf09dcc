"""The forms of a place: its name, and what it starts with."""

from django import forms

from clients.forms.fields import VersionField
from clients.starting_sets import STARTING_SETS
from coachdesk.practice.text import CleanFormField


class PlaceForm(forms.Form):
    """A new place."""

    name = CleanFormField(label="Name", max_length=80, help_text="Such as Full gym, Home or Hotel.")
    starting = forms.ChoiceField(
        label="Start with",
        choices=STARTING_SETS,
        required=False,
        help_text="Every piece can be changed or removed.",
    )


class PlaceNameForm(forms.Form):
    """Another name for a place."""

    name = CleanFormField(label="Name", max_length=80)
    version = VersionField()
