"""The forms of where a client stands: screening, precautions, marked muscles."""

from datetime import date
from typing import Any

from django import forms

from clients.forms.fields import DayField
from clients.models import MUSCLE_CHOICES, PRECAUTION_CHOICES, Client, MarkedMuscle
from clients.questions import ANSWERS, EFFORTS, QUESTIONS
from clients.selectors import marks_of
from coachdesk.practice.text import CleanFormField


class ScreeningForm(forms.Form):
    """The screening questions, and a clearance where a clinician gave one."""

    asked_on = DayField(label="Asked on")
    valid_until = DayField(label="Valid until", required=False, help_text="Blank means 12 months after asking.")
    cleared = forms.BooleanField(label="Cleared by a clinician for the training intended", required=False)
    cleared_until = DayField(
        label="Clearance ends on",
        required=False,
        help_text="Needed with a clearance, as the clinician wrote it; at most two years.",
    )
    note = CleanFormField(
        label="Note", required=False, max_length=1000, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Who cleared them, for what, and anything an answer needs.",
    )  # fmt: skip

    def __init__(self, *args: Any, today: date | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if today:
            self.initial.setdefault("asked_on", today)
        for question in QUESTIONS:
            self.fields[question.key] = forms.ChoiceField(
                label=question.words, help_text=question.hint, choices=ANSWERS, widget=forms.RadioSelect,
                error_messages={"required": "Answer yes or no.", "invalid_choice": "Answer yes or no."},
            )  # fmt: skip
        self.fields["effort"] = forms.ChoiceField(
            label="What effort do they intend?", choices=EFFORTS, widget=forms.RadioSelect,
            error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose light, moderate or hard."),
        )  # fmt: skip
        self.order_fields(["asked_on", *(q.key for q in QUESTIONS), "effort"])

    @property
    def questions(self) -> list[Any]:
        """The bound fields of the questions, in order."""
        return [self[question.key] for question in QUESTIONS] + [self["effort"]]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("cleared") and not data.get("cleared_until") and "cleared_until" not in self.errors:
            self.add_error("cleared_until", "A clearance needs its last day: enter the date on which it ends.")
        if data.get("cleared_until") and not data.get("cleared"):
            self.add_error("cleared", "A last day is given but no clearance; tick this box or leave the day blank.")
        return data

    def answers(self) -> dict[str, str]:
        """The answers as they are kept."""
        keys = [*(question.key for question in QUESTIONS), "effort"]
        return {key: self.cleaned_data[key] for key in keys if key in self.cleaned_data}


class PrecautionForm(forms.Form):
    """Something to work around."""

    words = CleanFormField(label="Precaution", max_length=200, help_text="Such as: no overhead work on the right.")
    code = forms.ChoiceField(
        label="Kind", required=False, choices=[("", "other"), *PRECAUTION_CHOICES],
        help_text="Exercises that go against one of these kinds are flagged.",
    )  # fmt: skip
    muscle = forms.ChoiceField(label="Muscle", required=False, choices=[("", "none in particular"), *MUSCLE_CHOICES])
    since_on = DayField(label="Since", required=False)


class EndPrecautionForm(forms.Form):
    """The day from which a precaution is no longer in force; blank means today."""

    until_on = DayField(label="Ends on", required=False)


class MusclesForm(forms.Form):
    """One aim for each muscle; carries what was shown, so that two people marking at once are noticed."""

    def __init__(self, *args: Any, client: Client, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.marks = marks_of(client)
        choices = [("", "none"), *MarkedMuscle.Aim.choices]
        for muscle, aim in self.marks:
            self.fields[muscle.code] = forms.ChoiceField(
                label=muscle.name, choices=choices, required=False, initial=aim
            )
            self.fields[f"was_{muscle.code}"] = forms.ChoiceField(
                choices=choices,
                required=False,
                initial=aim,
                widget=forms.HiddenInput(),
                label=f"{muscle.name} before",
            )

    @property
    def rows(self) -> list[tuple[Any, Any]]:
        """(select, hidden value shown before) of each muscle."""
        return [(self[muscle.code], self[f"was_{muscle.code}"]) for muscle, _aim in self.marks]

    def aims(self) -> dict[str, str]:
        """The aims typed."""
        return {muscle.code: self.cleaned_data[muscle.code] for muscle, _aim in self.marks}

    def base(self) -> dict[str, str]:
        """The aims as they were shown."""
        return {muscle.code: self.cleaned_data[f"was_{muscle.code}"] for muscle, _aim in self.marks}
