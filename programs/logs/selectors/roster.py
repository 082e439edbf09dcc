"""The roster: clients by need from their kept rows, page after page, found by what the coach asks for."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import OuterRef, Q, QuerySet, Subquery
from django.db.models.functions import Coalesce

from clients.models import Client, Handover
from coachdesk.engine.need import Need, Reason
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import assisted, coaches, visible_coaches
from coachdesk.practice.text import fold
from programs.logs.models import ClientNeed
from programs.logs.selectors.needs import Bands, behind
from programs.models import Program

PAGE = 50
SHOWN = 3
ENDING_DAYS = 14
# No client's name needs more words, and each is a search of its own.
MOST_WORDS = 12


@dataclass(frozen=True)
class RosterFilter:
    """What is asked of the roster; empty for anything. `program`: 'none', 'ending' or a template's id.

    `seen`: days since anything was logged, as text, or 'never'; `precaution`: a code, 'other', 'any' or 'none'.
    """

    query: str = ""
    coach: int | None = None
    goal: str = ""
    flag: str = ""
    muscle: str = ""
    precaution: str = ""
    program: str = ""
    seen: str = ""


@dataclass(frozen=True)
class NextSession:
    """What a client is to do next, and when."""

    pk: int
    program: int
    name: str
    on: date


@dataclass(frozen=True)
class RosterRow:
    """One client as the kept row tells it; `as_of` is the day it tells of, where that is not today or not all."""

    client: Client
    need: Need
    next: NextSession | None = None
    done: int = 0
    planned: int = 0
    missed: int = 0
    bands: Bands | None = None
    severities: tuple[tuple[str, int], ...] = ()
    ends_on: date | None = None
    ends_in: int | None = None
    last_on: date | None = None
    is_behind: bool = False
    as_of: date | None = None

    @property
    def more_reasons(self) -> tuple[Reason, ...]:
        """Those beyond the three that a row has room for."""
        return self.need.reasons[SHOWN:]


@dataclass(frozen=True)
class RosterPage:
    """One page of rows; `after` names where the next begins. `is_behind`: some rows are still being worked out."""

    rows: list[RosterRow]
    after: str
    is_behind: bool


@dataclass(frozen=True)
class RosterChoices:
    """Coaches and templates to filter by; no coaches where there is nothing to choose."""

    coaches: list[Membership] = field(default_factory=list)
    templates: list[tuple[int, str]] = field(default_factory=list)


def roster_choices(desk: Membership) -> RosterChoices:
    """What a member may filter by; two queries."""
    found: list[Membership] = []
    if desk.role == Membership.Role.OWNER:
        found = list(coaches(desk))
    elif desk.role == Membership.Role.ASSISTANT:
        found = list(assisted(desk))
    rows = Program.objects.filter(practice_id=desk.practice_id, client=None, archived_on=None)
    templates = list(rows.order_by("name", "id").values_list("pk", "name"))
    return RosterChoices(found if len(found) > 1 else [], templates)


def roster_page(
    desk: Membership, *, today: date, wanted: RosterFilter = RosterFilter(), after: tuple[int, int] | None = None,
    limit: int = PAGE,
) -> RosterPage:  # fmt: skip
    """Unarchived clients this member sees, most needy first, then by name; `after`: score and id of the last one seen.

    Two queries for any number of clients, and one more after the first page.
    """
    rows = roster_clients(desk, today=today, wanted=wanted)
    if after is not None:
        rows = rows.filter(_behind_of(desk, *after))
    clients = list(rows[: limit + 1])
    shown = [_row(client, today) for client in clients[:limit]]
    last = clients[limit - 1] if len(clients) > limit else None
    is_behind = behind(visible_coaches(desk), today).exists()
    return RosterPage(shown, f"{_points(last)}-{last.pk}" if last else "", is_behind)


def roster_clients(desk: Membership, *, today: date, wanted: RosterFilter = RosterFilter()) -> QuerySet[Client]:
    """The clients asked for in the roster's order, each with its kept row, coach and coach's user."""
    rows = Client.objects.filter(visible_coaches(desk), _asked(wanted, today), archived_on=None)
    # A client without a row yet stands at the end, not nowhere.
    rows = rows.annotate(points=Coalesce("need__score", 0), handed_at=Subquery(_handed()))
    rows = rows.select_related("need", "coach__user")
    return rows.order_by("-points", "folded", "id")


def _handed() -> "QuerySet[Handover, datetime]":
    """When the client was handed to their coach, while the coach has not looked at it yet."""
    rows = Handover.objects.filter(client=OuterRef("pk"), to_coach=OuterRef("coach"), seen=None)
    return rows.order_by("-id").values_list("handed_at", flat=True)[:1]


def _points(client: Client) -> int:
    return int(getattr(client, "points", 0))


def _behind_of(desk: Membership, points: int, pk: int) -> Q:
    """Rows behind one in the order; behind its score alone when it has gone meanwhile."""
    rows = Client.objects.filter(visible_coaches(desk), pk=pk)
    folded = rows.values_list("folded", flat=True).first()
    if folded is None:
        return Q(points__lt=points)
    same = Q(folded__gt=folded) | Q(folded=folded, pk__gt=pk)
    return Q(points__lt=points) | (Q(points=points) & same)


def _asked(wanted: RosterFilter, today: date) -> Q:
    asked = Q()
    for word in fold(wanted.query).split()[:MOST_WORDS]:
        asked &= Q(folded__contains=word)
    if wanted.coach is not None:
        asked &= Q(coach=wanted.coach)
    if wanted.goal:
        asked &= Q(goal=wanted.goal)
    for name, word in (("codes", wanted.flag), ("muscles", wanted.muscle)):
        if word:
            asked &= Q(**{f"need__{name}__contains": f" {word} "})
    return asked & _careful(wanted.precaution) & _planned(wanted.program, today) & _seen(wanted.seen, today)


def _careful(precaution: str) -> Q:
    if precaution == "none":
        return Q(need__precautions="")
    if precaution == "any":
        return Q(need__precautions__contains=" ")
    return Q(need__precautions__contains=f" {precaution} ") if precaution else Q()


def _planned(program: str, today: date) -> Q:
    if program == "none":
        return Q(need__isnull=False, need__ends_on=None)
    if program == "ending":
        return Q(need__ends_on__lte=today + timedelta(days=ENDING_DAYS))
    return Q(need__origin=int(program)) if program else Q()


def _seen(seen: str, today: date) -> Q:
    if seen == "never":
        return Q(need__isnull=False, need__last_on=None)
    return Q(need__last_on__lte=today - timedelta(days=int(seen))) if seen else Q()


def _row(client: Client, today: date) -> RosterRow:
    kept: ClientNeed | None = getattr(client, "need", None)
    if kept is None or kept.on is None:
        return RosterRow(client, Need(0, ()), is_behind=True)
    value: dict[str, Any] = kept.value
    late = kept.on != today or kept.marked != kept.worked
    return RosterRow(
        client, Need(kept.score / 1000, tuple(Reason(*one) for one in value["reasons"])), _next(value["next"]),
        value["done"], value["planned"], value["missed"], Bands(*value["bands"]) if value["bands"] else None,
        tuple((name, count) for name, count in value["severities"]), kept.ends_on,
        (kept.ends_on - today).days if kept.ends_on else None, kept.last_on, late,
        kept.on if kept.on != today else None,
    )  # fmt: skip


def _next(found: Sequence[Any] | None) -> NextSession | None:
    if not found:
        return None
    pk, program, name, on = found
    return NextSession(pk, program, name, date.fromisoformat(on))
