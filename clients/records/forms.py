"""What a person types about a client's data as a whole."""

from datetime import date
from typing import Any

from django import forms

from clients.forms.fields import DayField, WholeField
from clients.services.consent import ASKED
from clients.services.retention import MOST_MONTHS
from coachdesk.practice.text import CleanFormField


class EraseForm(forms.Form):
    """The client's name, typed to confirm."""

    typed = CleanFormField(label="The client's name", max_length=120, help_text="As it stands above.")


class ConsentForm(forms.Form):
    """What was asked, when, and the answer."""

    asked_on = DayField(label="Asked on")
    words = CleanFormField(
        label="What they were asked", max_length=1000, widget=forms.Textarea(attrs={"rows": 4}), initial=ASKED,
        help_text="In your own words, as you said or wrote it to them.",
    )  # fmt: skip
    given = forms.ChoiceField(
        label="Their answer", choices=[("yes", "yes, they may be kept"), ("no", "no")], widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose yes or no."),
    )  # fmt: skip

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.initial.setdefault("asked_on", today)

    def answer(self) -> dict[str, Any]:
        """The checked values as the service takes them."""
        return {**self.cleaned_data, "given": self.cleaned_data["given"] == "yes"}


class KeepForm(forms.Form):
    """Why a client's data stay, and when to ask again."""

    reason = CleanFormField(
        label="Reason", max_length=200, help_text="Such as a record that you must keep, or a return that is agreed."
    )
    again_on = DayField(label="Ask again on", help_text="At most ten years from now.")


class RetentionForm(forms.Form):
    """After how many months the desk asks."""

    months = WholeField(label="Months", low=1, high=MOST_MONTHS, unit="months")
