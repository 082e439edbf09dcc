"""What a person types about a client's data as a whole."""

from django import forms

from coachdesk.practice.text import CleanFormField


class EraseForm(forms.Form):
    """The client's name, typed to confirm."""

    typed = CleanFormField(label="The client's name", max_length=120, help_text="As it stands above.")
