"""The form of one set, in its row: load, reps, RIR; all blank means it was not done."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from coachdesk.practice.text import CleanFormField
from programs.logs.forms.lines import Typed, read_set
from programs.logs.forms.reading import doubt_about, read_load, read_reps, read_rir, read_setting

PARTS = ("load", "reps", "rir")


class SetForm(forms.Form):
    """Cleans to `load` (thousandths or None), `reps`, `rir`, or to `blank` when nothing is typed.

    `planned`: the planned load in thousandths, for the question about a load far from it. `body`: what the body
    adds; `on_body`: whether a load may be assistance. With `settings`, those of equipment without units, the load's
    cell holds one of them; after validation `setting` is it (before: the planned one, for a blank cell).
    """

    load = CleanFormField(label="Load", required=False, max_length=40)
    reps = CleanFormField(label="Reps", required=False, max_length=40)
    rir = CleanFormField(label="RIR", required=False, max_length=40)
    sure = CleanFormField(label="The load is right", required=False, max_length=40)
    version = forms.IntegerField(
        min_value=0,
        max_value=2**31 - 1,
        required=False,
        error_messages={"invalid": "Reload the page and try again."},
    )

    def __init__(
        self, *args: Any, unit: str, rep_kind: str, planned: int | None, before: int | None = None,
        body: int | None = None, on_body: bool = False, settings: Sequence[str] = (), setting: str = "",
        needs_load: bool = False, **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.apart, self.muddle = self._taken_apart()
        self.unit, self.rep_kind, self.planned, self.before = unit, rep_kind, planned, before
        self.body, self.on_body, self.settings, self.setting = body, on_body, settings, setting
        self.asks, self.needs_load = "", needs_load

    def _taken_apart(self) -> tuple[Typed, str]:
        """(load, reps, RIR) of a whole set typed in one cell, and words where the cells disagree."""
        load, reps, rir = (str(self.data.get(name, "")) for name in PARTS)
        try:
            return read_set(load, reps, rir, saved=True), ""
        except ValidationError as refusal:
            return Typed(load, reps, rir), " ".join(refusal.messages)

    @property
    def blank(self) -> bool:
        """Whether the row says that the set was not done: cleared, or a dash."""
        return not any((self.apart.load, self.apart.reps, self.apart.rir))

    def clean_load(self) -> int | None:
        text = self.apart.load
        if self.settings:
            self.setting = read_setting(text, self.settings) if text else self.setting
            return None
        if not text:
            if self.needs_load and self.planned is None and not self.blank:
                raise ValidationError("Type the load: none was planned for this exercise.")
            return self.planned
        load = read_load(text, self.unit, self.planned, on_body=self.on_body)
        doubt = doubt_about(load, self.planned, self.unit, self.body)
        # what was saved before was confirmed before
        if doubt and load != self.before:
            self.asks = text
            if str(self.data.get("sure", "")).strip() != text:
                raise ValidationError(doubt)
        return load

    def clean_reps(self) -> int | None:
        if self.muddle:
            raise ValidationError(self.muddle)
        text = self.apart.reps
        if text:
            return read_reps(text, self.rep_kind)
        if self.blank:
            return None
        raise ValidationError("Type how many were done, or clear the whole row if the set was not done.")

    def clean_rir(self) -> float | None:
        return read_rir(self.apart.rir) if self.apart.rir else None

    def clean_version(self) -> int:
        return self.cleaned_data["version"] or 0

    @property
    def typed(self) -> dict[str, str]:
        return {name: str(self.data.get(name, "")).strip() for name in ("load", "reps", "rir")}

    @property
    def found(self) -> dict[str, str]:
        """Errors by field as plain words; `row` for what belongs to no field."""
        words = {name: " ".join(str(e) for e in errors) for name, errors in self.errors.items()}
        if "__all__" in words or "version" in words:
            words["row"] = " ".join(words.pop(name) for name in ("__all__", "version") if name in words)
        return words
