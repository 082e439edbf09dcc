"""Binding what a coach types about programmes; the engine reads schemes, these forms carry its words back."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from clients.models import UNITS, Client, Equipment, Place
from coachdesk import engine
from coachdesk.practice.text import CleanFormField
from programs.models import Exercise
from programs.models.program import MOST_WEEKS
from programs.scheme_notes import FIELD_NAMES, HOLDS, SIDES, start_of
from programs.selectors.exercises import exercise_in

DAY_CHOICES = [(0, "Mon"), (1, "Tue"), (2, "Wed"), (3, "Thu"), (4, "Fri"), (5, "Sat"), (6, "Sun")]
GROUPS = [("", "on its own"), ("A", "superset A"), ("B", "superset B"), ("C", "superset C"), ("D", "superset D")]
SCHEME_FIELDS = ("kind", "sets", "load_kind", "load_value", "reps", "rir", "rest", "ladder")


def _weeks_field() -> forms.IntegerField:
    words = f"A programme has 1 to {MOST_WEEKS} weeks."
    return forms.IntegerField(
        label="Weeks", min_value=1, max_value=MOST_WEEKS, initial=8,
        error_messages={"min_value": words, "max_value": words, "invalid": f"{words} Write a whole number."},
    )  # fmt: skip


class DateField(forms.DateField):
    """A date by the browser's own picker; typed dates may be 2026-11-24 or 24.11.2026."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("input_formats", ["%Y-%m-%d", "%d.%m.%Y", "%d/%m/%Y"])
        super().__init__(**kwargs)
        self.error_messages["invalid"] = "This is no date; write it like 2026-11-30."


class ProgramForm(forms.Form):
    """A new programme: a template, or a client's."""

    name = CleanFormField(label="Name", max_length=120)
    weeks = _weeks_field()
    client = forms.ModelChoiceField(
        Client.objects.none(), required=False, empty_label="none: a template to assign later", label="Client"
    )
    start_on = DateField(required=False, label="Starts on", help_text="Programmes start on a Monday.")

    def __init__(self, *args: Any, clients: QuerySet[Client], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client"].queryset = clients  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("client") and not data.get("start_on") and "start_on" not in self.errors:
            self.add_error("start_on", "A client's programme needs the date it starts on.")
        return data


class ProgramEditForm(forms.Form):
    """Rename a programme or change its length."""

    name = CleanFormField(label="Name", max_length=120)
    weeks = _weeks_field()
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)


class SessionForm(forms.Form):
    """A session's name, week and day."""

    name = CleanFormField(label="Session", max_length=80)
    week_no = forms.IntegerField(label="Week", min_value=1, max_value=MOST_WEEKS)
    day = forms.TypedChoiceField(label="Day", choices=DAY_CHOICES, coerce=int)


class SessionEditForm(SessionForm):
    """As SessionForm, with the place and the version the coach was looking at."""

    place = forms.ModelChoiceField(Place.objects.none(), required=False, empty_label="the client's own place")
    note = CleanFormField(label="Note on the sheet", max_length=1000, required=False, widget=forms.Textarea)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)

    def __init__(self, *args: Any, places: QuerySet[Place], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = places  # type: ignore[attr-defined]


class ExerciseAddForm(forms.Form):
    """Which exercise to add to a session: chosen, or written with its scheme, 'Bench press 4 x 6-8 @ 75 %'."""

    exercise = forms.ModelChoiceField(Exercise.objects.none(), required=False, label="Exercise")
    line = CleanFormField(label="Add exercise", max_length=300, required=False)

    def __init__(self, *args: Any, exercises: QuerySet[Exercise], unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.exercises, self.unit = exercises, unit
        self.fields["exercise"].queryset = exercises  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        data["scheme"] = None
        if data.get("line") and not data.get("exercise"):
            self._read(data)
        elif not data.get("exercise") and not self.errors:
            self.add_error("line", "Write an exercise, with its scheme if you like: Bench press 4 x 6-8 @ 75 %.")
        return data

    def _read(self, data: dict[str, Any]) -> None:
        found = exercise_in(self.exercises, data["line"])
        if isinstance(found, str):
            self.add_error("line", found)
            return
        data["exercise"], rest = found
        if not rest:
            return
        read = engine.read_written(rest, self.unit)
        data["scheme"] = read.scheme
        if read.problem:
            self.add_error("line", f"{data['exercise'].name}: {read.problem}")


# What a newly chosen scheme starts from when nothing is typed yet; common practice, no source.
USUAL_LADDER = {
    "ascending_pyramid": "65x15; 75x10; 85x6", "descending_pyramid": "85x6; 75x10; 65x15", "drop_set": "-20% x 2",
}  # fmt: skip
USUAL_STEP = {"sets": "3", "load_kind": "effort", "reps": "8", "rir": "2"}


class ExerciseRowForm(forms.Form):
    """One row of the editor. What the engine cannot read comes back at the field, with what was typed.

    `written` counts when it differs from `written_was`, the words it was drawn with; else the other fields do.
    """

    exercise = forms.IntegerField(min_value=1, required=False)
    written = CleanFormField(max_length=engine.LONGEST_WRITTEN, required=False)
    written_was = CleanFormField(max_length=2000, required=False)
    kind = forms.CharField(max_length=30)
    sets = CleanFormField(max_length=20, required=False)
    load_kind = forms.CharField(max_length=20, required=False)
    load_value = CleanFormField(max_length=40, required=False)
    reps = CleanFormField(max_length=40, required=False)
    rir = CleanFormField(max_length=20, required=False)
    rest = CleanFormField(max_length=20, required=False)
    ladder = CleanFormField(max_length=200, required=False)
    side = forms.ChoiceField(choices=SIDES, required=False)
    hold = forms.ChoiceField(choices=HOLDS, required=False)
    cue = CleanFormField(max_length=200, required=False)
    private_note = CleanFormField(max_length=1000, required=False)
    group = forms.ChoiceField(choices=GROUPS, required=False)
    version = forms.IntegerField(min_value=1)

    def __init__(self, *args: Any, unit: str, stored: engine.Scheme, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit, self.stored = unit, stored

    def text(self, name: str) -> str | None:
        """A text beside the scheme (cue, private note, superset's letter); None when it was not posted."""
        return self.cleaned_data[name] if name in self.data else None

    @property
    def scheme_fields(self) -> dict[str, str]:
        fields = {name: self.cleaned_data.get(name) or "" for name in SCHEME_FIELDS}
        kind = fields["kind"]
        fields["ladder"] = fields["ladder"] or USUAL_LADDER.get(kind) or start_of(kind)["ladder"]
        if fields["kind"] == "straight" and not (fields["reps"] or fields["load_value"]):
            fields |= {name: fields[name] or usual for name, usual in USUAL_STEP.items()}
        first = engine.expand(self.stored)[0][0]
        kept = {"side": first.side, "hold": first.hold}  # not in the row: they stay as they are
        return fields | {name: self.cleaned_data.get(name) or was for name, was in kept.items()}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if self.errors:
            return data
        if data["written"] != data["written_was"]:
            read = engine.read_written(data["written"], self.unit, self.scheme_fields)
            data["scheme"] = read.scheme
            if read.problem:
                self.add_error("written", read.problem)
        elif data["kind"] == self.stored.kind == "series":
            data["scheme"] = self.stored
        else:
            self._typed_fields(data)
        return data

    def _typed_fields(self, data: dict[str, Any]) -> None:
        try:
            data["scheme"] = engine.scheme_from_fields(self.scheme_fields, self.unit)
        except engine.FieldErrors as wrong:
            for name, words in wrong.errors.items():
                self.add_error(name if name in self.fields else None, words)


class SchemeForm(forms.Form):
    """A scheme to keep by name: the engine's flat fields, whose errors come back at the field."""

    name = CleanFormField(label="Name", max_length=80)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit
        for name in engine.FIELDS:
            self.fields[name] = CleanFormField(label=FIELD_NAMES.get(name, name), max_length=400, required=False)
        self.fields["version"] = forms.IntegerField(min_value=1, required=False, widget=forms.HiddenInput)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        fields = {name: data.get(name) or "" for name in engine.FIELDS}
        try:
            data["scheme"] = engine.scheme_from_fields(fields, self.unit)
        except engine.FieldErrors as wrong:
            for name, words in wrong.errors.items():
                self.add_error(name if name in self.fields else None, words)
        except engine.EngineError as wrong:
            self.add_error("kind", str(wrong))
        return data


class UseSchemeForm(SchemeForm):
    """A scheme to put into a planned exercise, seen at a version."""

    name = None  # type: ignore[assignment]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["version"].required = True


class AssignForm(forms.Form):
    """Whom a programme goes to, and from when."""

    client = forms.ModelChoiceField(Client.objects.none(), label="Client", empty_label="choose a client")
    start_on = DateField(label="Starts on", help_text="On a Monday: another day means the Monday after it.")

    def __init__(self, *args: Any, clients: QuerySet[Client], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["client"].queryset = clients  # type: ignore[attr-defined]


MOST_TESTED, MOST_AMOUNT = 30, 5000


def read_tested_load(text: str, unit: str, *, on_body: bool) -> int:
    """A tested load in thousandths of `unit`; `on_body`: added to the body, 0 and assistance among it. EngineError."""
    if on_body:
        return engine.parse_added(text or "0", unit)
    load = engine.parse_load(text, unit).thousandths
    if not load:
        raise engine.EngineError("tested load", text, "above 0: the load that was lifted")
    return int(load)


class StrengthTestForm(forms.Form):
    """A tested lift: the most that was lifted for so many reps; or a best time or distance, which `timed` tells."""

    exercise = forms.ModelChoiceField(Exercise.objects.none(), label="Exercise", empty_label="choose an exercise")
    side = forms.ChoiceField(label="Side", choices=[("b", "both"), ("l", "left"), ("r", "right")], required=False)
    load = CleanFormField(
        label="Load", max_length=30, required=False,
        help_text="On the body what was added: 10, 0 for none, or '20 assistance'.",
    )  # fmt: skip
    unit = forms.ChoiceField(label="Unit", choices=UNITS)
    reps = forms.IntegerField(label="Reps, s or m", min_value=1, max_value=MOST_AMOUNT)
    on = DateField(label="Tested on")
    place = forms.ModelChoiceField(
        Place.objects.none(), label="Machine at", required=False, empty_label="the client's own place",
        help_text="For stacks: machines differ.",
    )  # fmt: skip

    def __init__(
        self, *args: Any, exercises: QuerySet[Exercise], places: QuerySet[Place], today: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["exercise"].queryset = exercises  # type: ignore[attr-defined]
        self.fields["place"].queryset = places  # type: ignore[attr-defined]
        self.today = today

    @property
    def timed(self) -> bool:
        """Whether what is recorded is seconds or metres."""
        return bool(self.cleaned_data["exercise"].rep_kind != Exercise.RepKind.REPS)

    @property
    def best(self) -> dict[str, Any]:
        """The cleaned values as a best time or distance."""
        data = {name: self.cleaned_data[name] for name in ("exercise", "side", "load", "unit", "on")}
        return data | {"amount": self.cleaned_data["reps"]}

    def clean_side(self) -> str:
        return self.cleaned_data["side"] or "b"

    def clean_on(self) -> Any:
        on = self.cleaned_data["on"]
        if on > self.today:
            raise forms.ValidationError(f"{on:%a} {on.day} {on:%b %Y} lies in the future; a test has happened.")
        return on

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if {"load", "unit", "exercise"} <= set(data):
            on_body = data["exercise"].equipment_kind in (Equipment.Kind.BODYWEIGHT, Equipment.Kind.BAND)
            try:
                data["load"] = read_tested_load(data["load"], data["unit"], on_body=on_body)
            except engine.EngineError as wrong:
                self.add_error("load", str(wrong))
        if data.get("exercise") and not self.timed and (data.get("reps") or 0) > MOST_TESTED:
            self.add_error("reps", f"{data['reps']} reps say nothing of a maximum; at most {MOST_TESTED}.")
        return data


class WhyForm(forms.Form):
    """A reason in words, kept with the coach's name."""

    why = CleanFormField(label="Reason", max_length=1000, required=False, widget=forms.Textarea(attrs={"rows": 3}))
