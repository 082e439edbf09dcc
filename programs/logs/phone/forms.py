"""Binding what a phone sends: one small form for each kind of entry, all with the key that makes sending twice safe.

A plain form and a queue that waited for a signal send the same fields.
"""

import re
from typing import Any
from uuid import UUID

from django import forms
from django.core.exceptions import ValidationError

from coachdesk.practice.text import CleanFormField, few_marks
from programs.logs.forms.reading import TICK, WholeField
from programs.logs.forms.set import SetForm
from programs.logs.mapping import SheetStep
from programs.logs.models import SessionLog
from programs.logs.phone.entries import Entry, Hurt, Rated, Said, SetCleared, SetDone, Shortened, Skipped, Swapped
from programs.logs.phone.selectors.shorter import LEAST, MOST
from programs.logs.phone.visit import NO_SUCH_SET, logs_of, step_at
from programs.models import IssuedSheet

LOST = "Load the page again and try once more."
OTHER = "Another exercise stands here than the one this was said of; load the page again and say it of that one."
SAVE_AGAIN = "save it again if it is right"
MOST_PLACE, MOST_PLACES = 24, 400


def _whole(high: int = 2**31 - 1) -> forms.IntegerField:
    words = dict.fromkeys(("required", "invalid", "min_value", "max_value"), LOST)
    return forms.IntegerField(required=False, min_value=0, max_value=high, error_messages=words)


class EntryForm(forms.Form):
    """The key of what is said, and how many seconds ago it was; cleans to `entry`."""

    key = forms.UUIDField(error_messages=dict.fromkeys(("required", "invalid"), LOST))
    ago = forms.CharField(required=False, max_length=20)

    def __init__(self, *args: Any, sheet: IssuedSheet | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.sheet = sheet
        self.asks = ""
        self.wrong: tuple[str, ...] = ()

    @property
    def uuid(self) -> UUID:
        key: UUID = self.cleaned_data["key"]
        return key

    @property
    def ago_s(self) -> float:
        """0 where nothing is said; below 0, which nobody believes, for what is no number."""
        text = self.cleaned_data.get("ago") or "0"
        return float(text) if text.isascii() and text.isdigit() else -1.0

    @property
    def entry(self) -> Entry:
        raise NotImplementedError

    @property
    def slot(self) -> str:
        return str(self.data.get("slot", ""))[:MOST_PLACE]

    @property
    def words(self) -> str:
        """What is wrong, in words."""
        return " ".join(dict.fromkeys(str(error) for errors in self.errors.values() for error in errors))


class SetEntryForm(EntryForm):
    """A step done: load or setting, reps and RIR as they are typed on the desk. Nothing changed: done as written.

    `exercise`: what the page showed there. A swap that was refused must not leave its sets with the planned exercise.
    """

    over = _whole()
    exercise = _whole(2**62)

    def clean(self) -> dict[str, Any]:
        if self.sheet is None:
            raise ValidationError(LOST)
        log: SessionLog | None = logs_of(self.sheet.client, self.sheet)[0]
        step = step_at(self.sheet, log, self.slot)
        if self.cleaned_data.get("exercise") not in (None, step.exercise):
            raise ValidationError(OTHER)
        over = self.cleaned_data.get("over") or 0
        self.done = _set_form(self.data, step, _before(log, step) if over else None)
        if not self.done.is_valid():
            self.asks, self.wrong = self.done.asks, tuple(self.done.found)
            raise ValidationError([words.replace(TICK, SAVE_AGAIN) for words in self.done.found.values() if words])
        self.step = step
        return self.cleaned_data

    @property
    def entry(self) -> SetDone:
        data, over = self.done.cleaned_data, self.cleaned_data["over"] or 0
        said = (data["load"], self.done.setting, data["reps"])
        planned = (self.step.load, self.step.setting, self.step.written_reps)
        written = said == planned and not over and not self.step.stands_in and self.step.written_reps is not None
        if written:
            return SetDone(self.slot, rir=data["rir"], as_written=True)
        return SetDone(
            self.slot, reps=data["reps"], load=data["load"], rir=data["rir"], setting=self.done.setting, over=over
        )  # fmt: skip


def _set_form(data: Any, step: SheetStep, before: int | None) -> SetForm:
    fields = {name: data.get(name, "") for name in ("load", "reps", "rir", "sure")}
    return SetForm(
        fields, unit=step.unit, rep_kind=step.rep_kind, planned=step.load, before=before, body=step.body_load,
        on_body=step.on_body, settings=step.settings, setting=step.setting, needs_load=step.needs_load,
    )  # fmt: skip


def _before(log: SessionLog | None, step: SheetStep) -> int | None:
    if log is None:
        return None
    here = log.sets.filter(position=step.position, set_no=step.set_no, step_no=step.step_no, side=step.side)
    return here.values_list("load", flat=True).first()


class ClearForm(EntryForm):
    """A set that was not done after all."""

    over = _whole()

    def clean(self) -> dict[str, Any]:
        if not self.slot:
            raise ValidationError(NO_SUCH_SET)
        return self.cleaned_data

    @property
    def entry(self) -> SetCleared:
        return SetCleared(self.slot, self.cleaned_data["over"] or 0)


class SkipForm(EntryForm):
    """What is left out and why: one of the reasons offered, or own words; `back` takes it back."""

    place = forms.CharField(required=False, max_length=MOST_PLACE, error_messages={"max_length": LOST})
    quick = CleanFormField(required=False, max_length=200, validators=[few_marks])
    why = CleanFormField(required=False, max_length=200, validators=[few_marks])
    back = forms.CharField(required=False, max_length=8)

    def clean(self) -> dict[str, Any]:
        data = self.cleaned_data
        if not (data.get("back") or data.get("quick") or data.get("why") or self.errors):
            raise ValidationError("Say why it is left out, for example 'no time'.")
        return data

    @property
    def entry(self) -> Skipped:
        data = self.cleaned_data
        return Skipped(data["place"], "" if data["back"] else data["quick"] or data["why"])


class SwapForm(EntryForm):
    """Another exercise at a position; none goes back to the planned one."""

    position = _whole(999)
    exercise = _whole(2**62)
    why = CleanFormField(required=False, max_length=200, validators=[few_marks])

    @property
    def entry(self) -> Swapped:
        data = self.cleaned_data
        return Swapped(data["position"] or 0, data["exercise"], data["why"])


class PainForm(EntryForm):
    """Pain from 0 to 10; without a position that of the whole session."""

    position = _whole(999)
    pain = WholeField(low=0, high=10, what="points of pain")
    over = _whole()

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("pain") is None and not self.errors:
            raise ValidationError("Choose a number from 0 to 10.")
        return self.cleaned_data

    @property
    def entry(self) -> Hurt:
        data = self.cleaned_data
        return Hurt(data["position"] or None, data["pain"], data["over"] or 0)


class RatingForm(EntryForm):
    """How hard the session was, and its minutes."""

    rating = WholeField(low=0, high=10, what="points")
    minutes = WholeField(low=1, high=600, what="minutes")
    over = _whole()

    @property
    def entry(self) -> Rated:
        data = self.cleaned_data
        return Rated(data["rating"], data["minutes"], data["over"] or 0)


# An exercise and the loads of one to three drops, in thousandths and at most 9999 of a unit.
_DROPS = re.compile(r"[1-9][0-9]{0,2}(-[1-9][0-9]{0,6}){1,3}")


class ShortForm(EntryForm):
    """The proposal of a shorter session, as it was shown; 0 minutes takes it back."""

    minutes = _whole(MOST)
    rest = _whole(3600)

    def clean(self) -> dict[str, Any]:
        places = [str(one) for one in self.data.getlist("left_out")] if hasattr(self.data, "getlist") else []
        pairs = [str(one) for one in self.data.getlist("pairs")] if hasattr(self.data, "getlist") else []
        known = {str(one["position"]) for one in self.sheet.body["exercises"]} if self.sheet else set()
        if len(places) > MOST_PLACES or any(len(one) > MOST_PLACE for one in places):
            raise ValidationError(NO_SUCH_SET)
        if any(one.count("-") != 1 or not set(one.split("-")) <= known for one in pairs[:MOST_PLACES]):
            raise ValidationError(LOST)
        drops = [str(one) for one in self.data.getlist("drops")] if hasattr(self.data, "getlist") else []
        if len(drops) > 1 or any(not _DROPS.fullmatch(one) or one.partition("-")[0] not in known for one in drops):
            raise ValidationError(LOST)
        lists = {"left_out": tuple(places), "pairs": tuple(dict.fromkeys(pairs[:MOST_PLACES])), "drops": tuple(drops)}
        return {**self.cleaned_data, **lists}

    @property
    def entry(self) -> Shortened:
        data = self.cleaned_data
        if not data["minutes"]:
            return Shortened(0)
        return Shortened(data["minutes"], data["left_out"], data["pairs"], data["rest"] or 0, data["drops"])


class PlaceForm(EntryForm):
    """Another place to train at today."""

    place = _whole(2**62)


class MinutesForm(forms.Form):
    """How many minutes are left."""

    minutes = WholeField(low=LEAST, high=MOST, what="minutes", label="Minutes left")


class MessageForm(EntryForm):
    """A message to the coach."""

    text = CleanFormField(
        max_length=1000, validators=[few_marks], error_messages={"required": "Write your message first."}
    )  # fmt: skip

    @property
    def entry(self) -> Said:
        return Said(self.cleaned_data["text"])


class UnknownForm(EntryForm):
    """A kind of entry that this desk does not know, perhaps from an older page."""

    def clean(self) -> dict[str, Any]:
        raise ValidationError(f"The desk does not know what this is. {LOST}")


_FORMS: dict[str, type[EntryForm]] = {
    "set": SetEntryForm, "clear": ClearForm, "skip": SkipForm, "swap": SwapForm, "pain": PainForm,
    "rating": RatingForm, "message": MessageForm, "short": ShortForm,
}  # fmt: skip


def entry_form(data: Any, sheet: IssuedSheet | None) -> EntryForm:
    """The bound form of whatever was sent, by its `kind`."""
    return _FORMS.get(str(data.get("kind", "")), UnknownForm)(data, sheet=sheet)
