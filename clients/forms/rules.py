"""The form of house rules: a field for each, blank where nothing is set; it carries what was shown."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.core.exceptions import ValidationError

from clients.rule_texts import LONGEST, RuleSpec, read_rule, rule_text
from clients.selectors import RuleLine
from coachdesk.engine.equations import CURVE_NAMES
from coachdesk.engine.number_words import group_of
from coachdesk.practice.text import CleanFormField

LOST = "This page has lost track of the values it showed; open it again, then repeat the change."


@dataclass(frozen=True)
class RuleRow:
    """One rule of the table: the line, the field to type in, and the hidden value that was shown."""

    line: RuleLine
    field: Any
    was: Any

    @property
    def spec(self) -> RuleSpec:
        return self.line.spec


@dataclass(frozen=True)
class ChangedRow:
    """A rule that would change, and the text of what would hold then."""

    line: RuleLine
    wanted: str

    @property
    def spec(self) -> RuleSpec:
        return self.line.spec


class RuleForm(forms.Form):
    """`lines`: the rules with what is set; `back`: the name of a rule whose field counts as blank."""

    def __init__(self, *args: Any, lines: list[RuleLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lines = lines
        self.back = str(self.data.get("back", "")) if self.is_bound else ""
        for line in lines:
            self.fields[line.spec.name] = self._field(line)
            self.fields[f"was_{line.spec.name}"] = CleanFormField(
                required=False, initial=line.own, widget=forms.HiddenInput, label=f"{line.spec.words}, as shown",
                max_length=LONGEST,
            )  # fmt: skip
        if self.back:
            typed = dict(self.data.items())
            self.data = {**typed, self.back: ""}

    def _field(self, line: RuleLine) -> forms.Field:
        label = f"{line.spec.words}{', ' if line.spec.unit else ''}{line.spec.unit}"
        if line.spec.is_choice:
            wrong = {"invalid_choice": f"%(value)s is not a curve; choose one of {', '.join(CURVE_NAMES)}."}
            choices = [("", f"{line.inherited} (default)"), *((name, name) for name in CURVE_NAMES)]
            widget = forms.Select(attrs={"class": "cell", "aria-label": label})
            return forms.ChoiceField(
                label=label, required=False, initial=line.own, choices=choices, widget=widget, error_messages=wrong
            )
        attrs = {"class": "cell num", "placeholder": line.inherited, "autocomplete": "off", "aria-label": label}
        if line.spec.name == "warmup":
            attrs["class"] = "cell"
        widget_text = forms.TextInput(attrs=attrs)
        return CleanFormField(label=label, required=False, initial=line.own, max_length=LONGEST, widget=widget_text)

    @property
    def rows(self) -> list[RuleRow]:
        return [RuleRow(line, self[line.spec.name], self[f"was_{line.spec.name}"]) for line in self.lines]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        self.values: dict[str, Any] = {}
        self.base: dict[str, Any] = {}
        for line in self.lines:
            name = line.spec.name
            typed, was = data.get(name), data.get(f"was_{name}")
            if name in self.errors or typed is None or typed.strip() == (was or "").strip():
                continue
            try:
                self.base[name] = read_rule(name, was) if was else None
            except ValidationError:
                self.add_error(None, LOST)
                continue
            try:
                self.values[name] = read_rule(name, typed) if typed.strip() else None
            except ValidationError as wrong:
                self.add_error(name, wrong)
        if not self.values and not self.errors:
            self.add_error(None, "Nothing was changed: type another value for a rule, or leave the page.")
        return data

    @property
    def weights(self) -> str:
        """The weights of the roster's order that would change, as the end of an address; blank for the default."""
        found = {name: value for name, value in self.values.items() if group_of(name) == "need"}
        return urlencode({name: "" if value is None else rule_text(name, value) for name, value in found.items()})

    @property
    def changed_rows(self) -> list[ChangedRow]:
        """Each rule that would change, with what would hold then."""
        rows = [row for row in self.rows if row.spec.name in self.values]
        return [ChangedRow(row.line, self._wanted(row)) for row in rows]

    def _wanted(self, row: RuleRow) -> str:
        value = self.values[row.spec.name]
        return row.line.inherited if value is None else rule_text(row.spec.name, value)

    @property
    def seen(self) -> str:
        """What a preview was made for, in short: saving asks for it again when the values moved since."""
        return digest(self.values)

    def changed(self, take: set[str]) -> dict[str, Any]:
        """The typed values without those where the other's value was chosen."""
        return {name: value for name, value in self.values.items() if name not in take}


def digest(values: Mapping[str, Any]) -> str:
    """Sixteen hex digits that stand for these values."""
    return hashlib.sha256(json.dumps(values, sort_keys=True).encode()).hexdigest()[:16]
