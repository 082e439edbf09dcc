"""The form of an exercise that was done without being planned: its name and its first set, typed in one cell."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from coachdesk.practice.text import CleanFormField
from programs.logs.forms.reading import read_exercise
from programs.logs.forms.set import PARTS, SetForm
from programs.logs.mapping import DoneStep, done_otherwise, unplanned_step
from programs.logs.models import SessionLog
from programs.logs.selectors import SettingChoices
from programs.models import Exercise

MOST_PLACES = 999


class ExtraExerciseForm(forms.Form):
    """Cleans to `done`, the first set of an exercise at its own place behind the others.

    `library`: exercises by the words that may name them. The place comes with the form, so that sending it twice names
    the same set twice.
    """

    exercise = CleanFormField(
        label="Exercise", max_length=80, error_messages={"required": "Type the exercise that was done."},
        widget=forms.TextInput(attrs={"list": "exercise-names", "autocomplete": "off"}),
    )  # fmt: skip
    first = CleanFormField(
        label="First set", max_length=40, error_messages={"required": "Type its first set, such as 80 x 8 @2."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "80 x 8 @2"}),
    )  # fmt: skip
    position = forms.IntegerField(
        min_value=1, max_value=MOST_PLACES, widget=forms.HiddenInput,
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), "Reload the page and try again."
        ),
    )  # fmt: skip

    def __init__(
        self, *args: Any, session_log: SessionLog, library: Mapping[str, Exercise] | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.auto_id = "extra-%s"
        self.log, self.library = session_log, library or {}
        self.done: DoneStep | None = None

    def put_at(self, position: int) -> None:
        """Another place for what was typed, when it is sent again."""
        self.data = {name: self.data.get(name, "") for name in self.fields} | {"position": str(position)}

    def clean_exercise(self) -> Exercise:
        return read_exercise(self.cleaned_data["exercise"], self.library)

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if self.log.status == SessionLog.Status.SKIPPED:
            raise ValidationError("This session was skipped; nothing was done in it.")
        if {"exercise", "first", "position"} <= data.keys():
            self._read(data["exercise"], data["first"], data["position"])
        return data

    def _read(self, exercise: Exercise, text: str, position: int) -> None:
        client = self.log.client
        settings = SettingChoices(self.log).of(exercise)
        step = unplanned_step(exercise, position, unit=client.unit, body_kg=client.body_kg, settings=settings)
        typed = SetForm(
            {"reps": text}, unit=step.unit, rep_kind=step.rep_kind, planned=None, body=step.body_load,
            on_body=step.on_body, needs_load=step.needs_load and not settings, settings=settings,
        )  # fmt: skip
        if not typed.is_valid():
            self.add_error("first", [words for part in (*PARTS, "row") if (words := typed.found.get(part))])
        elif typed.blank:
            self.add_error("first", "Type its first set, such as 80 x 8 @2.")
        elif settings and not typed.setting:
            said = f"Say which setting in place of the load: {', '.join(settings)}; such as '{settings[0]} x 12 @2'."
            self.add_error("first", said)
        else:
            numbers = {part: typed.cleaned_data[part] for part in PARTS}
            self.done = done_otherwise(step, **numbers, setting=typed.setting)
