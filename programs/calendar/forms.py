"""Binding what a coach types into a client's calendar."""

from datetime import date, datetime
from typing import Any

from django import forms
from django.db.models import QuerySet

from clients.forms.fields import DayField, VersionField
from clients.models import Place
from coachdesk.practice.text import CleanFormField
from programs.models import Absence, ClientDate, Exercise

HOW = [
    ("keep", "leave them where they are"),
    ("shift", "move them and everything after on by whole weeks, weekdays kept"),
    ("drop", "take them out"),
    ("lighten", "make them lighter, with the sets of a lighter week"),
    ("elsewhere", "train elsewhere: another place, loads made there"),
]
MISSED = [
    ("move", "move it to a day"),
    ("drop", "drop it"),
    ("fold", "fold it into a coming session"),
]


def month_of(text: str) -> date | None:
    """The first day of a month written 2026-12; None for anything else."""
    try:
        found = datetime.strptime(text, "%Y-%m").date() if len(text) == 7 else None
    except ValueError:
        return None
    return found if found and 1990 <= found.year <= 2200 else None


def day_of(text: str) -> date | None:
    """A day written 2026-12-24, within what a calendar can show; None for anything else."""
    try:
        found = date.fromisoformat(text) if len(text) == 10 else None
    except ValueError:
        return None
    return found if found and 1990 <= found.year <= 2200 else None


class MoveForm(forms.Form):
    """The day a session moves to."""

    on = DayField(label="Move to")
    version = VersionField()


class AbsenceForm(forms.Form):
    """Days away, and what becomes of the sessions inside."""

    first_on = DayField(label="First day away")
    last_on = DayField(label="Last day away")
    kind = forms.ChoiceField(label="What it is", choices=Absence.Kind.choices)
    note = CleanFormField(label="Note", max_length=200, required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        first, last = data.get("first_on"), data.get("last_on")
        if first and last and last < first:
            self.add_error("last_on", f"{last:%a} {last.day} {last:%b %Y} is before the first day; choose a later day.")
        return data


class AbsenceNewForm(AbsenceForm):
    """As above, with the choice for the sessions inside."""

    how = forms.ChoiceField(label="Sessions planned in these days", choices=HOW, widget=forms.RadioSelect)
    place = forms.ModelChoiceField(
        Place.objects.none(), required=False, label="Place to train at", empty_label="choose a place",
        help_text="Only for training elsewhere.",
    )  # fmt: skip
    digest = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput())

    def __init__(self, *args: Any, places: QuerySet[Place], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = places  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean()
        if data.get("how") == "elsewhere" and not data.get("place") and "place" not in self.errors:
            self.add_error("place", "Training elsewhere needs the place; choose one.")
        return data


class AbsenceEditForm(AbsenceForm):
    """Change days away; sessions stay where they are."""

    version = VersionField()


class DateForm(forms.Form):
    """A test day or a date to peak for."""

    on = DayField(label="Day")
    kind = forms.ChoiceField(label="What it is", choices=ClientDate.Kind.choices)
    exercise = forms.ModelChoiceField(
        Exercise.objects.none(), required=False, label="Exercise tested", empty_label="several, or none",
        help_text="Only for a test of one exercise.",
    )  # fmt: skip
    note = CleanFormField(label="Note", max_length=200, required=False)

    def __init__(self, *args: Any, exercises: QuerySet[Exercise], version: int | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["exercise"].queryset = exercises  # type: ignore[attr-defined]
        if version is not None:
            self.fields["version"] = VersionField()
            self.initial["version"] = version


class MissedForm(forms.Form):
    """What becomes of a session that was not done."""

    how = forms.ChoiceField(label="What becomes of it", choices=MISSED, widget=forms.RadioSelect)
    to = DayField(label="Day to move it to", required=False)
    into = forms.TypedChoiceField(label="Session to fold it into", required=False, coerce=int, empty_value=None)
    digest = forms.CharField(max_length=64, required=False, widget=forms.HiddenInput())

    def __init__(self, *args: Any, coming: list[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["into"].choices = coming or [("", "no session is coming")]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("how") == "move" and not data.get("to") and "to" not in self.errors:
            self.add_error("to", "Choose the day to move it to.")
        return data
