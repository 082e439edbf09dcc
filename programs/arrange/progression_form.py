"""Binding a progression: the numbers its kind needs, over which weeks, for which exercises."""

from collections.abc import Sequence
from typing import Any

from django import forms

from coachdesk import engine
from coachdesk.practice.text import CleanFormField
from programs.arrange.kinds import KINDS
from programs.arrange.lines import SCOPES

OF_EXERCISE = ("exercise", "everywhere", "session")
# Which fields a kind shows beside scope and weeks.
FIELDS_OF = {
    "volume": ("share", "habit", "raise_by", "every"), "load": ("amount", "unit", "every"), "reps": ("reps",),
    "double": ("goal",), "goal": ("goal",), "lighter": ("every",), "layoff": ("days_away",),
}  # fmt: skip
EVERY = {"volume": "every, in weeks", "load": "every, in weeks", "lighter": "Every so many weeks"}
# Common practice, no source, as in the engine's own defaults; lighter weeks: every fourth.
START: dict[str, dict[str, Any]] = {
    "volume": {"share": 100, "raise_by": 7, "every": 3}, "load": {"every": 1}, "lighter": {"every": 4},
    "reps": {"reps": "8-10, 6-8, 4-6"}, "double": {"goal": "8-10"}, "goal": {"goal": "8"}, "layoff": {"days_away": 28},
}  # fmt: skip
MOST_LIST = 52


class ProgressionForm(forms.Form):
    """A progression of one kind. Loads are typed in the unit beside them; reps as '8-10, 6-8, 5'."""

    kind = forms.ChoiceField(choices=[(code, name) for code, name, _ in KINDS], widget=forms.HiddenInput)
    scope = forms.ChoiceField(label="For", choices=SCOPES, initial="exercise")
    planned = forms.TypedChoiceField(label="Exercise", coerce=int, required=False, empty_value=None)
    muscle = forms.ChoiceField(label="Muscle", choices=[(m.code, m.name) for m in engine.MUSCLES], required=False)
    from_week = forms.IntegerField(label="From week", min_value=1)
    to_week = forms.IntegerField(label="to week", min_value=1)
    share = forms.FloatField(
        label="Start at, %", min_value=10, max_value=300,
        help_text="Of the sets planned in the first week, or of the habit.",
    )  # fmt: skip
    habit = forms.BooleanField(label="Start from the client's habit (one muscle)", required=False)
    raise_by = forms.FloatField(label="Raise by, %", min_value=0, max_value=50)
    every = forms.IntegerField(label="every, in weeks", min_value=1, max_value=26)
    amount = CleanFormField(
        label="Add", max_length=12, required=False, help_text="Empty: the usual step for the client's level."
    )
    unit = forms.ChoiceField(label="Unit", choices=[("kg", "kg"), ("lb", "lb"), ("%", "% of 1RM")])
    reps = CleanFormField(
        label="Reps, week by week", max_length=300,
        help_text="Such as 8-10, 6-8, 5. A shorter list is run through again.",
    )  # fmt: skip
    goal = CleanFormField(label="Reps", max_length=20)
    days_away = forms.IntegerField(label="Days away", min_value=0, max_value=2000)

    def __init__(self, *args: Any, kind: str, weeks: int, lines: Sequence[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kind_code, self.weeks = kind, weeks
        self.fields["planned"].choices = lines  # type: ignore[attr-defined]
        # Not asked for where the scope does not need it; never called optional where it does.
        scope = self.data.get("scope", "exercise") if self.is_bound else ""
        self.fields["planned"].required = not self.is_bound or scope in OF_EXERCISE
        self.fields["muscle"].required = not self.is_bound or scope == "muscle"
        shown = ("kind", "scope", "planned", "muscle", "from_week", "to_week", *FIELDS_OF[kind])
        self.fields = {name: field for name, field in self.fields.items() if name in shown}
        if "every" in self.fields:
            self.fields["every"].label = EVERY[kind]
        if kind == "goal":
            self.fields["goal"].label = "Rep goal of the last set"

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name in (name for names in FIELDS_OF.values() for name in names):
            data.setdefault(name, None)
        self._check_weeks(data)
        self._read(data)
        return data

    def _check_weeks(self, data: dict[str, Any]) -> None:
        first, last = data.get("from_week"), data.get("to_week")
        for name, week in (("from_week", first), ("to_week", last)):
            if week is not None and week > self.weeks:
                self.add_error(name, f"There is no week {week}; this programme has {self.weeks} weeks.")
        if first and last and last < first:
            self.add_error("to_week", f"Week {last} comes before week {first}.")

    def _read(self, data: dict[str, Any]) -> None:
        """What the engine reads: reps, range or goal, and the load to add."""
        for name, read in (("reps", self._reps), ("goal", self._goal), ("amount", self._amount)):
            if data.get(name):
                try:
                    data[name] = read(data[name])
                except engine.EngineError as wrong:
                    self.add_error(name, str(wrong))
            else:
                data[name] = None

    def _reps(self, text: str) -> tuple[engine.RepRule, ...]:
        parts = [part for part in text.replace(";", ",").split(",") if part.strip()]
        if len(parts) > MOST_LIST:
            raise engine.EngineError("list of reps", len(parts), f"at most {MOST_LIST} long")
        return tuple(engine.read_reps(part) for part in parts)

    def _goal(self, text: str) -> tuple[int, int]:
        rule = engine.read_reps(text)
        if rule.kind not in ("reps", "range"):
            raise engine.EngineError("reps", text, "a number or a range such as 8-10")
        return rule.low, rule.high

    def _amount(self, text: str) -> int:
        unit = self.data.get("unit") or "kg"
        made = engine.parse_load(text, "kg" if unit == "%" else unit).thousandths
        if made <= 0 or (unit == "%" and made > 50_000):
            raise engine.EngineError("step", text, "above 0" + (" and at most 50 points" if unit == "%" else ""))
        return made
