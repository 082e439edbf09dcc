"""The form of one set, in its row: load, reps, RIR; all blank means it was not done."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from coachdesk.practice.text import CleanFormField
from programs.logs.forms.reading import doubt_about, read_load, read_reps, read_rir, read_setting


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
        body: int | None = None, on_body: bool = False, settings: Sequence[str] = (), setting: str = "", **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.unit, self.rep_kind, self.planned, self.before = unit, rep_kind, planned, before
        self.body, self.on_body, self.settings, self.setting = body, on_body, settings, setting
        self.asks = False

    @property
    def blank(self) -> bool:
        return not any(str(self.data.get(name, "")).strip() for name in ("load", "reps", "rir"))

    def clean_load(self) -> int | None:
        text = self.cleaned_data["load"].strip()
        if self.settings:
            self.setting = read_setting(text, self.settings) if text else self.setting
            return None
        if not text:
            return self.planned
        load = read_load(text, self.unit, self.planned, on_body=self.on_body)
        doubt = doubt_about(load, self.planned, self.unit, self.body)
        # what was saved before was confirmed before
        if doubt and load != self.before:
            self.asks = True
            if str(self.data.get("sure", "")).strip() != text:
                raise ValidationError(doubt)
        return load

    def clean_reps(self) -> int | None:
        text = self.cleaned_data["reps"].strip()
        if text:
            return read_reps(text, self.rep_kind)
        if self.blank:
            return None
        raise ValidationError("Type how many were done, or clear the whole row if the set was not done.")

    def clean_rir(self) -> float | None:
        text = self.cleaned_data["rir"].strip()
        return read_rir(text) if text else None

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
