"""What a coach types to make a link."""

from datetime import date
from typing import Any
from uuid import uuid4

from django import forms

from clients.forms.fields import DayField
from clients.links.services import LIFE
from clients.models import ClientLink
from coachdesk.practice.text import CleanFormField

LOST = "This page has lost track of what it was to make; open it again."


class LinkForm(forms.Form):
    """A label, what the link opens and its last day; the key knows a second press again."""

    label = CleanFormField(label="Label", max_length=60, help_text="Whose or which device, such as 'own phone'.")
    kind = forms.ChoiceField(
        label="Opens", choices=ClientLink.Kind.choices, initial=ClientLink.Kind.PHONE, widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose the phone page or the calendar."),
    )  # fmt: skip
    expires_on = DayField(label="Last day", help_text="At most a year ahead.")
    key = forms.UUIDField(widget=forms.HiddenInput(), error_messages=dict.fromkeys(("required", "invalid"), LOST))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.update(expires_on=today + LIFE, key=uuid4())
