"""Reading what is asked of the roster in the address; what is not known is said, and the rest applied."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.http import QueryDict

from clients.models import MUSCLE_CHOICES, PRECAUTION_CHOICES, Client
from coachdesk.practice.models import Membership
from coachdesk.practice.text import CleanFormField, clean_text
from programs.evidence.codes import FLAG_NAMES
from programs.logs.selectors.roster import RosterChoices, RosterFilter

LONGEST, SHOWN, MOST_SAID = 200, 40, 6
CURSOR = re.compile(r"(\d{1,9})-(\d{1,18})", re.ASCII)
Choices = list[tuple[str, str]]
FLAGS: Choices = [
    ("stop", "any stop"), ("check", "any check"), ("note", "any note"),
    *sorted(FLAG_NAMES.items(), key=lambda pair: pair[1]),
]  # fmt: skip
SEEN: Choices = [("7", "7 days ago or more"), ("14", "14 days ago or more"), ("28", "28 days ago or more"),
                 ("never", "never")]  # fmt: skip
PRECAUTIONS: Choices = [("any", "any"), ("none", "none"), *PRECAUTION_CHOICES, ("other", "in words only")]
PROGRAMS: Choices = [("none", "none running or coming"), ("ending", "ends within 14 days")]
LABELS = {
    "coach": "Coach", "goal": "Goal", "flag": "Open flag", "muscle": "Muscle", "precaution": "Precaution",
    "program": "Programme", "seen": "Last logged",
}  # fmt: skip
# What else an address may hold.
OTHERS = {"q", "after", "tick"}


@dataclass(frozen=True)
class FilterField:
    """One choice of the filter: its name in the address, label, choices and what is chosen."""

    name: str
    label: str
    choices: Choices
    chosen: str

    @property
    def words(self) -> str:
        """What is chosen, as it is called; nothing for nothing."""
        return dict(self.choices).get(self.chosen, "")


@dataclass(frozen=True)
class RosterForm:
    """What was asked, read: the filter, its fields to draw, what could not be followed, and where to go on from."""

    wanted: RosterFilter
    fields: list[FilterField]
    problems: list[str]
    after: tuple[int, int] | None

    @property
    def chosen(self) -> list[FilterField]:
        return [one for one in self.fields if one.chosen]

    @property
    def address(self) -> str:
        """The filter as the end of an address, without the page."""
        made = QueryDict(mutable=True)
        if self.wanted.query:
            made["q"] = self.wanted.query
        made.update({one.name: one.chosen for one in self.chosen})
        return made.urlencode()

    @property
    def kept(self) -> dict[str, dict[str, str]]:
        """The filter as a view keeps it: without the words searched for."""
        return {one.name: {"value": one.chosen, "words": one.words} for one in self.chosen}

    @property
    def is_empty(self) -> bool:
        return self.wanted == RosterFilter()


def filter_choices(desk: Membership, known: RosterChoices) -> dict[str, Choices]:
    """The choices of every field by its name; no coaches where there is nothing to choose."""
    coaches = [(str(one.pk), one.user.name) for one in known.coaches]
    return {
        "coach": coaches, "goal": list(Client.Goal.choices), "flag": FLAGS, "muscle": list(MUSCLE_CHOICES),
        "precaution": PRECAUTIONS, "program": PROGRAMS + [(str(pk), f"made of {name}") for pk, name in known.templates],
        "seen": SEEN,
    }  # fmt: skip


def read_roster(asked: QueryDict, desk: Membership, known: RosterChoices) -> RosterForm:
    """The filter of an address. Nothing typed raises: what is not known stands in `problems`, shortened."""
    typed = {name: clean_text(asked.get(name, "")).strip() for name in (*LABELS, *OTHERS)}
    choices = filter_choices(desk, known)
    chosen = {name: typed[name] if typed[name] in dict(choices[name]) else "" for name in LABELS}
    after = CURSOR.fullmatch(typed["after"])
    fields = [FilterField(name, label, choices[name], chosen[name]) for name, label in LABELS.items() if choices[name]]
    problems = [
        *_unknown(typed, chosen, bool(choices["coach"])), *_strange(asked),
        *(["The page asked for is not known; this is the first one."] if typed["after"] and not after else []),
    ]  # fmt: skip
    wanted = RosterFilter(
        query=typed["q"][:LONGEST], coach=int(chosen["coach"]) if chosen["coach"] else None,
        **{name: chosen[name] for name in LABELS if name != "coach"},
    )  # fmt: skip
    return RosterForm(wanted, fields, problems[:MOST_SAID], (int(after[1]), int(after[2])) if after else None)


def _unknown(typed: Mapping[str, str], chosen: Mapping[str, str], may_choose: bool) -> Iterable[str]:
    for name, label in LABELS.items():
        if typed[name] and not chosen[name]:
            why = "is not known here" if name != "coach" or may_choose else "cannot be chosen by you"
            hint = "; that coach may have left" if name == "coach" and may_choose and typed[name].isdigit() else ""
            yield f"{label} {_shown(typed[name])} {why}{hint}, and was left out."


def _strange(asked: QueryDict) -> Iterable[str]:
    for name in asked:
        if name not in LABELS and name not in OTHERS:
            yield f"{_shown(clean_text(name))} is no filter of this page, and was left out."


def _shown(text: str) -> str:
    return f"'{text[:SHOWN]}{'...' if len(text) > SHOWN else ''}'"


class ViewForm(forms.Form):
    """The name to keep the present filter under; `filters` is the end of its address."""

    name = CleanFormField(
        label="Name", max_length=60,
        error_messages={"required": "Write a name for this view, such as 'Strength, ending soon'."},
    )  # fmt: skip
    is_shared = forms.BooleanField(label="Everybody in the practice may use it", required=False)
    filters = CleanFormField(required=False, max_length=2000, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "view-%s", **kwargs})
        self.fields["name"].widget.attrs["autocomplete"] = "off"
