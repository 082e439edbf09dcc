"""Reading groups: which ones, who is in them, and on which days they have something planned."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import Count, QuerySet

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import visible_coaches
from programs.models import Block, PlannedSession, Program, TrainingGroup
from programs.selectors import planned_days

AHEAD = 14


@dataclass(frozen=True)
class GroupDay:
    """A day ahead on which members have sessions planned."""

    on: date
    count: int


def visible_groups(desk: Membership) -> QuerySet[TrainingGroup]:
    """Groups of the coaches whose clients this member sees."""
    rows = TrainingGroup.objects.filter(visible_coaches(desk)).select_related("place", "coach__user", "practice")
    return rows.order_by("name", "id").distinct()


def group_rows(desk: Membership) -> QuerySet[TrainingGroup]:
    """The list of groups with how many are in each."""
    return visible_groups(desk).annotate(member_count=Count("members", distinct=True))


def members_of(desk: Membership, group: TrainingGroup) -> list[Client]:
    """The group's clients in the order of its columns; those who train with another coach now are left out."""
    rows = visible_clients(desk).filter(group_places__group=group, archived_on=None)
    return list(rows.order_by("group_places__position", "group_places__id"))


def days_ahead(clients: Sequence[Client], today: date) -> list[GroupDay]:
    """Days of the next two weeks on which at least two members have a session."""
    found: dict[date, set[int]] = {}
    for client_id, on, _ in planned_days(clients, today, today + timedelta(days=AHEAD - 1)):
        found.setdefault(on, set()).add(client_id)
    return [GroupDay(on, len(who)) for on, who in sorted(found.items()) if len(who) > 1]


def templates_of(desk: Membership) -> QuerySet[Program]:
    """Templates whose sessions a group may be looked at with."""
    return Program.objects.filter(practice_id=desk.practice_id, client=None, archived_on=None).order_by("name", "id")


def template_sessions(desk: Membership, template: int | None) -> list[PlannedSession]:
    """The sessions of one template in order; none without a template."""
    if template is None:
        return []
    blocks = Block.objects.filter(program__in=templates_of(desk).filter(pk=template))
    return list(PlannedSession.objects.filter(block__in=blocks).order_by("week_no", "day", "position", "id"))
