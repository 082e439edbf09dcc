"""The forms of a place: its name, and what it starts with."""

from django import forms

from clients.forms.fields import VersionField
from clients.models import Place
from clients.starting_sets import STARTING_SETS
from coachdesk.practice.text import CleanFormField

SPOTTER = [("", "not known"), *Place.Spotter.choices]
SPOTTER_HELP = "With 'no', lifts with the bar over the body near failure are flagged."


class PlaceForm(forms.Form):
    """A new place."""

    name = CleanFormField(label="Name", max_length=80, help_text="Such as Full gym, Home or Hotel.")
    spotter = forms.ChoiceField(label="Spotter or safeties", choices=SPOTTER, required=False, help_text=SPOTTER_HELP)
    starting = forms.ChoiceField(
        label="Start with",
        choices=STARTING_SETS,
        required=False,
        help_text="Every piece can be changed or removed.",
    )


class PlaceNameForm(forms.Form):
    """A place's name, and whether somebody or a rack catches the bar."""

    name = CleanFormField(label="Name", max_length=80)
    spotter = forms.ChoiceField(label="Spotter or safeties", choices=SPOTTER, required=False, help_text=SPOTTER_HELP)
    version = VersionField()
