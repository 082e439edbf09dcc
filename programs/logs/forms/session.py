"""The form of a whole session: a row for every step of the issued sheet, and how the visit went."""

from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError

from coachdesk.practice.text import CleanFormField
from programs.logs.forms.reading import DayField, WholeField, doubt_about, read_load, read_reps, read_rir, read_setting
from programs.logs.mapping import (
    DoneStep,
    SheetExercise,
    SheetStep,
    done_as_written,
    done_otherwise,
    sheet_exercises,
)
from programs.logs.models import SessionLog
from programs.logs.services.session_logs import check_day
from programs.models import IssuedSheet

PARTS = ("load", "reps", "rir")
# Django refuses a form of more than 1,000 fields; four a row and the head stay below it.
MOST_ROWS = 240


def reason_field() -> CleanFormField:
    """Why a session was missed."""
    longest = SessionLog._meta.get_field("skipped_why").max_length
    words = {"required": "Say why, for example 'ill' or 'travelling'."}
    return CleanFormField(label="Reason", max_length=longest, error_messages=words)


class SessionHeadForm(forms.Form):
    """Day, minutes, rating and note of a session."""

    done_on = DayField(label="Done on")
    minutes = WholeField(label="Minutes", low=1, high=600, what="minutes", help_text="From the first warm-up set.")
    rating = WholeField(
        label="Session rating",
        low=0,
        high=10,
        what="points",
        help_text="How hard the whole session was, 0 to 10.",
    )
    note = CleanFormField(label="Note", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(
        self, *args: Any, today: date, skipped: bool = False, edits: bool = False, **kwargs: Any
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["done_on"].widget.attrs["max"] = today.isoformat()
        if edits:
            self.fields["version"] = forms.IntegerField(
                min_value=1, max_value=2**31 - 1, widget=forms.HiddenInput,
                error_messages=dict.fromkeys(("required", "invalid", "min_value"), "Reload the page and try again."),
            )  # fmt: skip
        if skipped:
            self.fields["skipped_why"] = reason_field()

    def clean_done_on(self) -> date:
        day: date = self.cleaned_data["done_on"]
        try:
            return check_day(day, self.today)
        except ValidationError as refusal:
            raise ValidationError(refusal.messages) from None


@dataclass(frozen=True)
class TypedRow:
    """One row of the table: the step, what was typed, and what is wrong with it."""

    step: SheetStep
    typed: dict[str, str]
    errors: dict[str, str]
    sure: bool
    asks: bool


@dataclass(frozen=True)
class TypedExercise:
    """One exercise of the table with its rows."""

    exercise: SheetExercise
    written: bool
    pain: str
    pain_error: str
    rows: tuple[TypedRow, ...]


class SessionLogForm(SessionHeadForm):
    """The head and every step: load-<slot>, reps-<slot>, rir-<slot>, sure-<slot>, written-<position>.

    A blank row was not done, unless its exercise, or the whole session by the button `as_written`, is ticked as
    done as written. A blank load is the planned one. After validation `steps` holds what was done, `pains` the pain
    typed in pain-<position> by exercise id (the worst where an exercise comes twice).
    """

    key = forms.UUIDField(widget=forms.HiddenInput, error_messages={"invalid": "Reload the page and try again."})

    def __init__(self, *args: Any, sheet: IssuedSheet, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.exercises = sheet_exercises(sheet.body)
        self.steps: list[DoneStep] = []
        self.pains: dict[int, int] = {}
        self.asked: set[str] = set()
        self.more_rows = sum(len(one.steps) for one in self.exercises) > MOST_ROWS
        for one in self.exercises:
            self.fields[f"pain-{one.position}"] = WholeField(low=0, high=10, what="points", label=f"Pain, {one.name}")
            for step in one.steps:
                for part in PARTS:
                    label = f"{one.name}, set {step.set_no}, {'RIR' if part == 'rir' else part}"
                    self.fields[f"{part}-{step.slot}"] = CleanFormField(label=label, required=False, max_length=40)

    def typed(self, name: str) -> str:
        return str(self.data.get(name, "")).strip() if self.is_bound else ""

    def is_written(self, position: int) -> bool:
        return bool(self.typed("as_written") or self.typed(f"written-{position}"))

    def clean(self) -> dict[str, Any]:
        for one in self.exercises:
            for step in one.steps:
                done = self._done(step, self.is_written(one.position))
                if done is not None:
                    self.steps.append(done)
            self._pain(one)
        if not self.steps and not self.errors:
            self.add_error(None, "Nothing was entered: type what was done, or press 'Save all as written'.")
        return super().clean() or self.cleaned_data

    def _pain(self, one: SheetExercise) -> None:
        name = f"pain-{one.position}"
        pain = self.cleaned_data.get(name)
        if pain is None:
            return
        if not any(step.position == one.position for step in self.steps):
            self.add_error(name, f"Pain {pain} is typed for an exercise that was not done; type its sets or clear it.")
            return
        self.pains[one.exercise] = max(pain, self.pains.get(one.exercise, 0))

    def _done(self, step: SheetStep, written: bool) -> DoneStep | None:
        load_text, reps_text, rir_text = (self.typed(f"{part}-{step.slot}") for part in PARTS)
        if not (load_text or reps_text or rir_text or written):
            return None
        rir = self._read("rir", step, rir_text, lambda: read_rir(rir_text))
        setting, load = self._placed(step, load_text)
        if not (load_text or reps_text):
            done = done_as_written(step, rir=rir) if written else None
            if done is None:
                self._refuse("reps", step, "Type how many were done, or leave the whole row blank.")
            return done
        reps = self._reps(step, reps_text, written)
        return None if reps is None else done_otherwise(step, load=load, reps=reps, rir=rir, setting=setting)

    def _reps(self, step: SheetStep, text: str, written: bool) -> int | None:
        if text:
            return self._read("reps", step, text, lambda: read_reps(text, step.rep_kind))
        if not written or step.written_reps is None:
            self._refuse("reps", step, "Type how many were done, or leave the whole row blank.")
            return None
        return step.written_reps

    def _placed(self, step: SheetStep, text: str) -> tuple[str | None, int | None]:
        """(setting, load): of equipment without units the cell holds a setting, elsewhere a load."""
        if not step.settings:
            return None, self._load(step, text)
        return self._read("load", step, text, lambda: read_setting(text, step.settings)), None

    def _load(self, step: SheetStep, text: str) -> int | None:
        load = self._read("load", step, text, lambda: read_load(text, step.unit, step.load, on_body=step.on_body))
        if load is None:
            return step.load
        doubt = doubt_about(load, step.load, step.unit, step.body_load)
        if doubt:
            self.asked.add(step.slot)
            if self.typed(f"sure-{step.slot}") != text:
                self._refuse("load", step, doubt)
        return load

    def _read(self, part: str, step: SheetStep, text: str, read: Any) -> Any:
        if not text or f"{part}-{step.slot}" in self.errors:
            return None
        try:
            return read()
        except ValidationError as refusal:
            self.add_error(f"{part}-{step.slot}", refusal)
            return None

    def _refuse(self, part: str, step: SheetStep, words: str) -> None:
        if f"{part}-{step.slot}" not in self.errors:
            self.add_error(f"{part}-{step.slot}", words)

    def table(self) -> list[TypedExercise]:
        """What the template draws: typed text kept, errors beside it."""
        errors = self.errors if self.is_bound else {}
        return [
            TypedExercise(
                one, bool(self.typed(f"written-{one.position}")), self.typed(f"pain-{one.position}"),
                " ".join(str(e) for e in errors.get(f"pain-{one.position}", ())),
                tuple(self._row(step, errors) for step in one.steps),
            )
            for one in self.exercises
        ]  # fmt: skip

    def _row(self, step: SheetStep, errors: Any) -> TypedRow:
        names = {part: f"{part}-{step.slot}" for part in PARTS}
        found = {part: " ".join(errors[name]) for part, name in names.items() if name in errors}
        typed = {part: self.typed(name) for part, name in names.items()}
        sure = bool(typed["load"]) and self.typed(f"sure-{step.slot}") == typed["load"]
        return TypedRow(step, typed, found, sure, step.slot in self.asked)

    @property
    def head(self) -> dict[str, Any]:
        """The cleaned head without the rows."""
        return {name: self.cleaned_data[name] for name in ("done_on", "minutes", "rating", "note")}

    @property
    def log_key(self) -> UUID:
        key: UUID = self.cleaned_data["key"]
        return key


class SkipForm(forms.Form):
    """Why a session was missed."""

    skipped_why = reason_field()
    skipped_on = DayField(label="Planned for")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_skipped_on(self) -> date:
        try:
            return check_day(self.cleaned_data["skipped_on"], self.today)
        except ValidationError as refusal:
            raise ValidationError(refusal.messages) from None
