"""The forms of a block's report: which weeks it tells of, and what the coach writes into it."""

from collections.abc import Sequence
from typing import Any

from django import forms

from clients.forms.fields import WholeField
from coachdesk.practice.text import CleanFormField, few_marks
from programs.logs.models import BlockNote
from programs.logs.selectors.report_next import Proposal
from programs.models import Block

LOST = "This page has lost track of the version it showed; open it again, then repeat the change."


class WeeksForm(forms.Form):
    """The first and last week of a block to report on, counted from its first; the whole block unless told."""

    def __init__(self, data: Any, *, block: Block) -> None:
        asked = {name: data[name] for name in ("first", "last") if name in data}
        super().__init__({"first": "1", "last": str(block.weeks)} | asked)
        for name, label in (("first", "From week"), ("last", "to week")):
            self.fields[name] = WholeField(label=label, low=1, high=block.weeks, unit="weeks of this block")
        self.whole = (1, block.weeks)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        first, last = data.get("first"), data.get("last")
        if first and last and first > last:
            self.add_error("last", f"Week {last} lies before week {first}; write a later one.")
        return data

    @property
    def span(self) -> tuple[int, int]:
        """The weeks asked for; the whole block where they cannot be read."""
        return (self.cleaned_data["first"], self.cleaned_data["last"]) if self.is_valid() else self.whole


class NoteForm(forms.Form):
    """What the coach writes, and the steps ticked of those that are proposed (those kept before stay to be chosen)."""

    note = CleanFormField(
        label="To the client", required=False, max_length=2000, validators=[few_marks],
        widget=forms.Textarea(attrs={"rows": 5}), help_text="Printed as it stands, signed with your name.",
    )  # fmt: skip
    steps = forms.MultipleChoiceField(
        label="What next", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="What this block's own numbers suggest; only what is ticked is printed.",
        error_messages={"invalid_choice": "%(value)s is not proposed any more; tick again."},
    )  # fmt: skip
    next_note = CleanFormField(
        label="What next, in your own words", required=False, max_length=1000, validators=[few_marks],
        widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    with_pain = forms.BooleanField(
        label="Print the pain that was reported", required=False, help_text="Health data: the report goes home.",
    )  # fmt: skip
    version = forms.IntegerField(
        min_value=0, max_value=2**31 - 1, widget=forms.HiddenInput,
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), LOST),
    )  # fmt: skip

    def __init__(self, data: Any = None, *, kept: BlockNote | None, proposals: Sequence[Proposal]) -> None:
        self.words = {one["code"]: one["words"] for one in kept.steps} if kept else {}
        chosen = list(self.words)
        self.words |= {one.code: one.words for one in proposals}
        names = ("note", "next_note", "with_pain", "version")
        initial = {name: getattr(kept, name) for name in names} if kept else {"version": 0}
        super().__init__(data, initial={**initial, "steps": chosen})
        self.fields["steps"].choices = list(self.words.items())  # type: ignore[attr-defined]

    @property
    def values(self) -> dict[str, Any]:
        """The fields of a BlockNote."""
        data = dict(self.cleaned_data)
        data.pop("version")
        return data | {"steps": [{"code": code, "words": self.words[code]} for code in data["steps"]]}
