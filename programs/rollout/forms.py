"""Binding the filter of clients and the choice of whom a template goes to, from when, and as which version."""

from collections.abc import Sequence
from datetime import date, timedelta

from django import forms
from django.http import QueryDict

from clients.models import Client, Place
from coachdesk.practice.models import Membership
from coachdesk.practice.text import CleanFormField
from programs.models import TemplateVersion
from programs.rollout.preview import Wanted

NOW = "now"
MONDAYS = 26
DAYS_WORDS = [("", "any"), *((str(n), f"{n} or more" if n < 7 else "7") for n in range(1, 8))]


def mondays(today: date) -> list[date]:
    """The Mondays of the next half year, today's included."""
    first = today + timedelta(days=-today.weekday() % 7)
    return [first + timedelta(weeks=n) for n in range(MONDAYS)]


class ChooseForm(forms.Form):
    """What stands in the address: version, start, and the filter. Nonsense is left out, as if it were not asked."""

    of = forms.ChoiceField(label="Version", required=False)
    start = forms.TypedChoiceField(label="Starts on", coerce=date.fromisoformat, required=False, empty_value=None)
    q = CleanFormField(label="Name holds", max_length=120, required=False)
    coach = forms.TypedChoiceField(label="Coach", coerce=int, required=False, empty_value=None)
    goal = forms.ChoiceField(label="Goal", choices=[("", "any"), *Client.Goal.choices], required=False)
    level = forms.ChoiceField(label="Level", choices=[("", "any"), *Client.Level.choices], required=False)
    days = forms.TypedChoiceField(label="Days a week", choices=DAYS_WORDS, coerce=int, required=False, empty_value=None)
    place = forms.TypedChoiceField(label="Place", coerce=int, required=False, empty_value=None)
    free = forms.BooleanField(label="Without a programme then", required=False)

    def __init__(
        self, asked: QueryDict, *, today: date, versions: Sequence[TemplateVersion], is_changed: bool,
        coaches: Sequence[Membership], places: Sequence[Place],
    ) -> None:  # fmt: skip
        super().__init__(asked, auto_id="choose-%s")
        numbers = [(str(one.number), f"version {one.number}") for one in versions]
        if is_changed:
            following = versions[0].number + 1 if versions else 1
            numbers.insert(0, (NOW, f"as it stands, saved as version {following}"))
        self._choices("of", numbers)
        self._choices("start", [(day.isoformat(), f"{day:%a} {day.day} {day:%b %Y}") for day in mondays(today)])
        self._choices("coach", [("", "all"), *((str(one.pk), str(one.user)) for one in coaches)])
        self._choices("place", [("", "any"), *((str(one.pk), one.name) for one in places)])
        if len(coaches) < 2:
            del self.fields["coach"]
        self.first_of, self.first_start = numbers[0][0] if numbers else "", mondays(today)[0]
        self.is_valid()

    def _choices(self, name: str, choices: Sequence[tuple[str, str]]) -> None:
        self.fields[name].choices = choices  # type: ignore[attr-defined]

    @property
    def of_value(self) -> str:
        """'now' or a version's number; '' when there is nothing to give."""
        return self.cleaned_data.get("of") or self.first_of

    @property
    def start_on(self) -> date:
        found: date = self.cleaned_data.get("start") or self.first_start
        return found

    @property
    def wanted(self) -> Wanted:
        data = self.cleaned_data
        return Wanted(
            query=data.get("q") or "", coach=data.get("coach"), goal=data.get("goal") or "",
            level=data.get("level") or "", days=data.get("days"), place=data.get("place"), free=bool(data.get("free")),
        )  # fmt: skip


def chosen_ids(values: Sequence[str]) -> list[int]:
    """The ids that were ticked, each once; what is no id is left out."""
    return list(dict.fromkeys(int(v) for v in values if v.isascii() and v.isdigit() and len(v) < 19))
