"""The form of a whole session: a row for every step of the issued sheet, and how the visit went."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import QuerySet

from clients.models import Place
from coachdesk.practice.text import CleanFormField, clean_text
from programs.logs.forms.lines import Typed, read_set
from programs.logs.forms.reading import (
    DayField,
    WholeField,
    doubt_about,
    read_exercise,
    read_load,
    read_reps,
    read_rir,
    read_setting,
)
from programs.logs.mapping import (
    DoneStep,
    SheetExercise,
    SheetStep,
    done_as_written,
    done_otherwise,
    sheet_exercises,
    with_stand_in,
)
from programs.logs.models import Departure, SessionLog
from programs.logs.services.session_logs import check_day
from programs.models import Exercise, IssuedSheet

PARTS = ("load", "reps", "rir")
# Django refuses a form of more than 1,000 fields; five a row, four an exercise and the head stay below it.
MOST_ROWS = 180


def reason_field() -> CleanFormField:
    """Why a session was missed."""
    longest = SessionLog._meta.get_field("skipped_why").max_length
    words = {"required": "Say why, for example 'ill' or 'travelling'."}
    return CleanFormField(label="Reason", max_length=longest, error_messages=words)


def _name_field() -> CleanFormField:
    longest = SessionLog._meta.get_field("name").max_length
    words = "Short, such as 'Hotel gym' or 'Team training'; blank: Session."
    return CleanFormField(label="Name", required=False, max_length=longest, help_text=words)


def _place_field(places: QuerySet[Place]) -> forms.ModelChoiceField:
    return forms.ModelChoiceField(
        places, label="Place", required=False, empty_label="the usual place",
        help_text="Machines and bands are those of this place.",
    )  # fmt: skip


class SessionHeadForm(forms.Form):
    """Day, minutes, rating and note of a session; with `places` to choose from its name and place too."""

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
        self, *args: Any, today: date, skipped: bool = False, edits: bool = False,
        places: QuerySet[Place] | None = None, **kwargs: Any,
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
        if places is not None:
            self.fields["name"], self.fields["place"] = _name_field(), _place_field(places)

    def clean_done_on(self) -> date:
        day: date = self.cleaned_data["done_on"]
        try:
            return check_day(day, self.today)
        except ValidationError as refusal:
            raise ValidationError(refusal.messages) from None


@dataclass(frozen=True)
class TypedRow:
    """One row of the table: the step, what was typed, whether it is ticked as written, and what is wrong with it.

    `asks`: the typed load that is far from the planned one.
    """

    step: SheetStep
    typed: dict[str, str]
    written: bool
    errors: dict[str, str]
    sure: bool
    asks: str


@dataclass(frozen=True)
class TypedExercise:
    """One exercise of the table with its rows."""

    exercise: SheetExercise
    written: bool
    typed: dict[str, str]
    errors: dict[str, str]
    rows: tuple[TypedRow, ...]

    @property
    def departs(self) -> bool:
        """Whether something is said about leaving it out or doing another exercise."""
        return bool(self.typed["instead"] or self.typed["why"] or self.errors["instead"] or self.errors["why"])


class SessionLogForm(SessionHeadForm):
    """The head and every step: load-<slot>, reps-<slot>, rir-<slot>, sure-<slot>, written-<slot>, written-<position>.

    A whole set may stand in the cell of its load or its reps (see lines.py). A blank row was not done, unless it, its
    exercise, or the whole session by the button `as_written`, is ticked as done as written; a dash leaves it out all
    the same. A blank load is the planned one. instead-<position> and why-<position> say what was done instead of an
    exercise, or why it was left out; rest_why why the rest was. After validation `steps` holds what was done, `pains`
    the pain typed in pain-<position> by exercise id (the worst where an exercise comes twice), `departures` where the
    session left its sheet. `library`: exercises by the words that may name them.
    """

    key = forms.UUIDField(widget=forms.HiddenInput, error_messages={"invalid": "Reload the page and try again."})
    rest_why = CleanFormField(
        label="Rest left out, because", required=False, max_length=200,
        help_text="For sets left blank without a reason of their own, such as 'had to leave'.",
    )  # fmt: skip

    def __init__(
        self, *args: Any, sheet: IssuedSheet, library: Mapping[str, Exercise] | None = None, **kwargs: Any
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.client, self.library = sheet.client, library or {}
        self.exercises = sheet_exercises(sheet.body)
        self.steps: list[DoneStep] = []
        self.pains: dict[int, int] = {}
        self.departures: list[Departure] = []
        self.asked: dict[str, str] = {}
        self.most_rows = MOST_ROWS
        self.more_rows = sum(len(one.steps) for one in self.exercises) > MOST_ROWS
        self.fields["minutes"].widget.attrs["data-enter"] = "id_rating"
        for one in self.exercises:
            self._add_fields(one)

    def _add_fields(self, one: SheetExercise) -> None:
        self.fields[f"pain-{one.position}"] = WholeField(low=0, high=10, what="points", label=f"Pain, {one.name}")
        for part, words, most in (("instead", "done instead", 80), ("why", "reason", 200)):
            label = f"{one.name}, {words}"
            self.fields[f"{part}-{one.position}"] = CleanFormField(label=label, required=False, max_length=most)
        for step in one.steps:
            for part in PARTS:
                label = f"{one.name}, set {step.set_no}, {'RIR' if part == 'rir' else part}"
                self.fields[f"{part}-{step.slot}"] = CleanFormField(label=label, required=False, max_length=40)

    def typed(self, name: str) -> str:
        return str(self.data.get(name, "")).strip() if self.is_bound else ""

    def is_written(self, step: SheetStep) -> bool:
        ticks = ("as_written", f"written-{step.position}", f"written-{step.slot}")
        return any(self.typed(tick) for tick in ticks)

    def clean(self) -> dict[str, Any]:
        for one in self.exercises:
            self._exercise(one)
            self._pain(one)
        rest = self.cleaned_data.get("rest_why", "")
        if rest and len(self.steps) < sum(len(one.steps) for one in self.exercises):
            self.departures.append(Departure(why=rest))
        if not self.steps and not self.errors:
            self.add_error(None, "Nothing was entered: type what was done, or press 'Save all as written'.")
        return super().clean() or self.cleaned_data

    def _exercise(self, one: SheetExercise) -> None:
        why, instead = self.cleaned_data.get(f"why-{one.position}", ""), self._instead(one)
        before = len(self.steps)
        for step in one.steps:
            done = self._done(with_stand_in(step, instead, self.client.body_kg) if instead else step)
            if done is not None:
                self.steps.append(done)
        done_any = len(self.steps) > before
        if instead and not done_any and not any(f"{part}-{s.slot}" in self.errors for s in one.steps for part in PARTS):
            self.add_error(f"instead-{one.position}", f"Type the sets of {instead.name} that were done, or clear this.")
        elif instead and not why:
            self.add_error(f"why-{one.position}", f"Say why {instead.name} was done instead, for example 'rack taken'.")
        elif why or instead:
            self.departures.append(Departure(place=str(one.position), instead=instead, why=why))

    def _instead(self, one: SheetExercise) -> Exercise | None:
        name = f"instead-{one.position}"
        text = self.cleaned_data.get(name, "").strip()
        if not text:
            return None
        try:
            found = read_exercise(text, self.library)
        except ValidationError as refusal:
            self.add_error(name, refusal)
            return None
        if found.pk == one.exercise:
            self.add_error(name, f"{found.name} is what was planned; clear this, or name what was done instead.")
            return None
        return found

    def _pain(self, one: SheetExercise) -> None:
        name = f"pain-{one.position}"
        pain = self.cleaned_data.get(name)
        if pain is None:
            return
        done = next((step for step in self.steps if step.position == one.position), None)
        if done is None:
            self.add_error(name, f"Pain {pain} is typed for an exercise that was not done; type its sets or clear it.")
            return
        self.pains[done.exercise] = max(pain, self.pains.get(done.exercise, 0))

    def _done(self, step: SheetStep) -> DoneStep | None:
        typed = self._apart(step)
        written = self.is_written(step) and not step.stands_in
        if typed is None or typed.left_out or (typed.blank and not written):
            return None
        rir = self._read("rir", step, typed.rir, lambda: read_rir(typed.rir))
        setting, load = self._placed(step, typed.load)
        if not (typed.load or typed.reps):
            done = done_as_written(step, rir=rir) if written else None
            if done is None:
                self._refuse("reps", step, "Type how many were done, or leave the whole row blank.")
            return done
        reps = self._reps(step, typed.reps, written)
        return None if reps is None else done_otherwise(step, load=load, reps=reps, rir=rir, setting=setting)

    def _apart(self, step: SheetStep) -> Typed | None:
        """The row's cells taken apart; a dash leaves the set out, with the reason behind it."""
        try:
            typed = read_set(*(self.typed(f"{part}-{step.slot}") for part in PARTS))
        except ValidationError as refusal:
            self._refuse("reps", step, " ".join(refusal.messages))
            return None
        if typed.why:
            self.departures.append(Departure(place=step.slot, why=clean_text(typed.why)))
        return typed

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
            if step.stands_in and step.needs_load and not text:
                self._refuse("load", step, "Type the load: none was planned for this exercise.")
            return step.load
        doubt = doubt_about(load, step.load, step.unit, step.body_load)
        if doubt:
            self.asked[step.slot] = text
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
        return [self._typed_exercise(one) for one in self.exercises]

    def _typed_exercise(self, one: SheetExercise) -> TypedExercise:
        names = {part: f"{part}-{one.position}" for part in ("pain", "instead", "why")}
        typed = {part: self.typed(name) for part, name in names.items()}
        found = {part: self._words(name) for part, name in names.items()}
        rows = tuple(self._row(step) for step in one.steps)
        return TypedExercise(one, bool(self.typed(f"written-{one.position}")), typed, found, rows)

    def _words(self, name: str) -> str:
        return " ".join(str(error) for error in self.errors.get(name, ())) if self.is_bound else ""

    def _row(self, step: SheetStep) -> TypedRow:
        names = {part: f"{part}-{step.slot}" for part in PARTS}
        found = {part: words for part, name in names.items() if (words := self._words(name))}
        typed = {part: self.typed(name) for part, name in names.items()}
        asks = self.asked.get(step.slot, "")
        sure = bool(asks) and self.typed(f"sure-{step.slot}") == asks
        return TypedRow(step, typed, bool(self.typed(f"written-{step.slot}")), found, sure, asks)

    @property
    def head(self) -> dict[str, Any]:
        """The cleaned head without the rows."""
        return {name: self.cleaned_data[name] for name in ("done_on", "minutes", "rating", "note")}

    @property
    def log_key(self) -> UUID:
        key: UUID = self.cleaned_data["key"]
        return key


class UnplannedForm(SessionHeadForm):
    """The day of a session without a sheet, what it was and where; its sets are typed on its page."""

    key = forms.UUIDField(widget=forms.HiddenInput, error_messages={"invalid": "Reload the page and try again."})

    def __init__(self, *args: Any, today: date, places: QuerySet[Place], **kwargs: Any) -> None:
        super().__init__(*args, today=today, places=places, **kwargs)
        # They are typed with the sets, when they are known.
        del self.fields["minutes"], self.fields["rating"]


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
