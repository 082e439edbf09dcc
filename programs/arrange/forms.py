"""Binding where an exercise, a session, a week or a block is to go."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from coachdesk.practice.text import CleanFormField
from programs.forms import DAY_CHOICES
from programs.models import Block, PlannedSession
from programs.models.program import MOST_WEEKS

MOST_PLACES = 60


def _week(label: str, **kwargs: Any) -> forms.IntegerField:
    words = f"A week is a whole number from 1 to {MOST_WEEKS}."
    return forms.IntegerField(
        label=label, min_value=1, max_value=kwargs.pop("most", MOST_WEEKS),
        error_messages={"min_value": words, "max_value": words, "invalid": words}, **kwargs,
    )  # fmt: skip


def _position() -> forms.IntegerField:
    return forms.IntegerField(label="Place", min_value=1, max_value=MOST_PLACES, required=False)


class SessionChoice(forms.ModelChoiceField):
    """A session named by where it stands: 'Week 2, Tue, Upper A'."""

    def label_from_instance(self, row: Any) -> str:
        return f"Week {row.week_no}, {DAY_CHOICES[row.day][1]}, {row.name}"


class ExercisePlaceForm(forms.Form):
    """Which session an exercise goes to, and before which place; `step` moves it by one instead."""

    session = SessionChoice(
        PlannedSession.objects.none(), required=False, empty_label=None,
        error_messages={"invalid_choice": "This session is not one of this programme; choose one that is."},
    )  # fmt: skip
    position = _position()
    copy = forms.BooleanField(required=False)
    step = forms.ChoiceField(choices=[("up", "up"), ("down", "down")], required=False)

    def __init__(self, *args: Any, sessions: QuerySet[PlannedSession], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["session"].queryset = sessions  # type: ignore[attr-defined]


class SessionPlaceForm(forms.Form):
    """Which week and day a session goes to."""

    week_no = _week("Week")
    day = forms.TypedChoiceField(label="Day", choices=DAY_CHOICES, coerce=int)
    position = _position()
    copy = forms.BooleanField(required=False)


class WeekPlaceForm(forms.Form):
    """Where a week goes: copied or moved, in place of another or put in before it."""

    week_no = _week("Week")
    to = _week("to week", most=MOST_WEEKS + 1)
    to_last = _week("up to week", required=False)
    copy = forms.BooleanField(required=False)
    insert = forms.BooleanField(required=False)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first, last = data.get("to"), data.get("to_last")
        if first and last and last < first:
            self.add_error("to_last", f"Week {last} comes before week {first}.")
        elif last and first != last and (data.get("insert") or not data.get("copy")):
            self.add_error("to_last", "Only copies that take the place of weeks can go to several weeks at once.")
        return data

    @property
    def to_weeks(self) -> range:
        first = self.cleaned_data["to"]
        return range(first, (self.cleaned_data["to_last"] or first) + 1)


class WeekDeleteForm(forms.Form):
    """Which week goes; `keep` deletes its sessions only."""

    week_no = _week("Week")
    keep = forms.BooleanField(required=False)


class BlockEditForm(forms.Form):
    """A block's name and length; `drop` lets sessions in weeks that go be deleted."""

    name = CleanFormField(label="Name", max_length=80)
    weeks = _week("Weeks")
    drop = forms.BooleanField(label="Delete sessions in weeks that go", required=False)


class BlockAddForm(forms.Form):
    """A new block of empty weeks, behind another one or at the end."""

    name = CleanFormField(label="Name", max_length=80)
    weeks = _week("Weeks", initial=4)
    after = forms.ModelChoiceField(Block.objects.none(), label="Behind", required=False, empty_label="the last block")

    def __init__(self, *args: Any, blocks: QuerySet[Block], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["after"].queryset = blocks  # type: ignore[attr-defined]


class BlockSplitForm(forms.Form):
    """From which week on a block of its own begins."""

    week_no = _week("From week")
    name = CleanFormField(label="Name", max_length=80)


class BlockMoveForm(forms.Form):
    """To which place among the blocks."""

    position = forms.IntegerField(label="Place", min_value=1, max_value=MOST_WEEKS)
