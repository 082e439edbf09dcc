"""What the page of choosing shows: from when, which paper, and what each client has planned in that week."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.http import QueryDict

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from coachdesk.templatetags.desk import day
from programs.groups.selectors import members_of
from programs.models import PlannedSession, TrainingGroup
from programs.paper.forms import ids_of, paper_of
from programs.selectors import planned_days
from programs.selectors.sheet_runs import ClientWeek, client_weeks
from programs.services.sheet_runs import Wanted

WEEKS_AHEAD = 4


@dataclass(frozen=True)
class ChoosePage:
    """Clients with their week from `since` on; `choices` are (day, words)."""

    since: date
    choices: list[tuple[str, str]]
    paper: str
    weeks: list[ClientWeek]
    ticked: frozenset[int]

    @property
    def count(self) -> int:
        """How many sheets those ticked would get."""
        return sum(len(one.sessions) for one in self.weeks if one.client.pk in self.ticked)

    @property
    def title(self) -> str:
        """'3 clients, week of Mon 23 Nov': nobody's name, as it stands in lists."""
        count = len(self.ticked)
        monday = self.since - timedelta(days=self.since.weekday())
        who = "the whole roster" if count == len(self.weeks) and count > 1 else f"{count} client{'s' * (count != 1)}"
        return f"Session sheets of {who}, week of {day(monday)}"

    @property
    def wanted(self) -> list[Wanted]:
        """Every session of those ticked, client after client; one without any stands for nothing planned."""
        made = []
        for one in (one for one in self.weeks if one.client.pk in self.ticked):
            made += [Wanted(one.client, row) for _, row in one.sessions] or [Wanted(one.client, None)]
        return made


def choices_of(today: date) -> list[tuple[str, str]]:
    """The rest of this week first, then whole weeks: this one and the next ones."""
    monday = today - timedelta(days=today.weekday())
    sunday = monday + timedelta(days=6)
    made = [] if today == monday else [(today.isoformat(), f"rest of this week, {day(today)} to {day(sunday)}")]
    for n in range(WEEKS_AHEAD + 1):
        start = monday + timedelta(weeks=n)
        made.append((start.isoformat(), f"{day(start)} to {day(start + timedelta(days=6))}"))
    return made


def choose_page(desk: Membership, today: date, typed: QueryDict, *, posted: bool) -> ChoosePage:
    """As asked for in the address or posted; everybody is ticked until somebody is named, nonsense is left out."""
    choices = choices_of(today)
    clients = list(visible_clients(desk).filter(archived_on=None))
    since, weeks = _weeks(clients, choices, typed.get("since", ""), today)
    known = {one.client.pk for one in weeks}
    named = ids_of(typed.getlist("client"))
    ticked = known & set(named) if posted or named else set() if typed.get("tick") == "none" else known
    return ChoosePage(since, choices, paper_of(typed, desk.practice), weeks, frozenset(ticked))


def _weeks(
    clients: Sequence[Client], choices: Sequence[tuple[str, str]], asked: str, today: date
) -> tuple[date, list[ClientWeek]]:
    """The days asked for; else the rest of this week, or the next one once nothing is left in this."""
    if asked in dict(choices):
        since = date.fromisoformat(asked)
        return since, client_weeks(clients, since)
    weeks = client_weeks(clients, today)
    if any(one.sessions for one in weeks):
        return today, weeks
    following = today + timedelta(days=7 - today.weekday())
    return following, client_weeks(clients, following)


def group_wanted(desk: Membership, group: TrainingGroup, on: date) -> list[Wanted]:
    """Every member's sessions of a day on the group's place, in the order of its columns."""
    members = members_of(desk, group)
    found: dict[int, list[Wanted]] = {}
    for client, row in _of_day(members, on):
        found.setdefault(client.pk, []).append(Wanted(client, row, group.place))
    return [one for member in members for one in found.get(member.pk, [Wanted(member, None)])]


def _of_day(members: Sequence[Client], on: date) -> Iterable[tuple[Client, PlannedSession]]:
    known = {member.pk: member for member in members}
    return ((known[pk], row) for pk, _, row in planned_days(members, on, on))
