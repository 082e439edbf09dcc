"""Binding a swap: which exercise or scheme comes in, where, and from which week."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from coachdesk import engine
from programs.models import Exercise, PlannedExercise, Scheme

SCOPES = (
    ("exercise", "in this session, every week from then on"),
    ("everywhere", "wherever this exercise stands, from then on"),
    ("here", "here only"),
)
AS_HERE = "here"


class SwapForm(forms.Form):
    """Another exercise, another scheme, or both."""

    exercise = forms.ModelChoiceField(Exercise.objects.none(), label="Exercise", required=False, empty_label="stays")
    scheme = forms.ChoiceField(label="Scheme", required=False)
    scope = forms.ChoiceField(label="Where", choices=SCOPES)
    from_week = forms.IntegerField(label="From week", min_value=1)

    def __init__(
        self, *args: Any, planned: PlannedExercise, weeks: int, exercises: QuerySet[Exercise],
        schemes: QuerySet[Scheme], **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.planned, self.weeks = planned, weeks
        self.fields["exercise"].queryset = exercises.exclude(pk=planned.exercise_id)  # type: ignore[attr-defined]
        own = engine.scheme_words(engine.scheme_from_json(planned.scheme))
        kept = [(str(row.pk), row.name) for row in schemes]
        choices = [("", "stays as it is in each week"), (AS_HERE, f"as here: {own}"), *kept]
        self.fields["scheme"].choices = choices  # type: ignore[attr-defined]
        self.values = {AS_HERE: planned.scheme, **{str(row.pk): row.value for row in schemes}}

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        first = data.get("from_week")
        if first is not None and first > self.weeks:
            self.add_error("from_week", f"There is no week {first}; this programme has {self.weeks} weeks.")
        if not (data.get("exercise") or data.get("scheme")) and not self.errors:
            self.add_error("exercise", "Choose another exercise, another scheme, or both.")
        data["planned"], data["to_week"] = self.planned.pk, self.weeks
        if data.get("scheme"):
            try:
                data["scheme"] = engine.scheme_from_json(self.values[data["scheme"]])
            except engine.EngineError as wrong:
                self.add_error("scheme", str(wrong))
        else:
            data["scheme"] = None
        return data
