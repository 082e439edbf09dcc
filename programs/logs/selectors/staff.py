"""The owner's view: each coach with how many clients need them, by the roster's kept rows, and what waits."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Count, F, Prefetch

from clients.models import Client, Handover
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import staff
from programs.logs.models import ClientMessage
from programs.logs.selectors.roster import ENDING_DAYS
from programs.models import IssuedSheet

SEVERITIES = ("stop", "check", "note")
# Whose next session is so near and has no sheet yet: today and tomorrow.
SHEET_DAYS = 1


@dataclass(frozen=True)
class CoachLine:
    """One coach's clients, archived ones apart. `flags`: how many clients have an open flag of each severity."""

    member: Membership
    clients: int = 0
    need: int = 0
    flags: tuple[tuple[str, int], ...] = ()
    messages: int = 0
    sheets: int = 0
    ending: int = 0
    unseen: int = 0


@dataclass(frozen=True)
class StaffPage:
    """Those with clients to answer for, assistants with whom they assist, and those who left.

    `behind`: how many clients' rows are not of today; `total`: all coaches' sums, without a member.
    """

    coaches: Sequence[CoachLine]
    total: CoachLine | None
    assistants: Sequence[tuple[Membership, Sequence[Membership]]]
    left: Sequence[Membership]
    behind: int


def staff_page(desk: Membership, today: date) -> StaffPage:
    """Six queries for any number of coaches and clients."""
    helped = Membership.objects.select_related("user").order_by("user__name", "id")
    people = list(staff(desk).prefetch_related(Prefetch("assists", helped)))
    rows = _kept(desk)
    found = _counted(rows, today)
    for name, counts in (("messages", _messages(desk)), ("unseen", _unseen(desk)), ("sheets", _sheets(rows, today))):
        for pk, count in counts.items():
            found.setdefault(pk, Counter())[name] += count
    here = [one for one in people if one.left_at is None]
    lines = [_line(one, found.get(one.pk, Counter())) for one in here if one.can_write]
    whole = sum(found.values(), Counter[str]())
    return StaffPage(
        lines, _line(desk, whole) if len(lines) > 1 else None,
        [(one, list(one.assists.all())) for one in here if not one.can_write],
        [one for one in people if one.left_at is not None], sum(1 for row in rows if row["on"] != today),
    )  # fmt: skip


def _kept(desk: Membership) -> list[Any]:
    rows = Client.objects.filter(practice_id=desk.practice_id, archived_on=None).order_by("pk")
    return list(rows.values(
        "coach", score=F("need__score"), codes=F("need__codes"), ends=F("need__ends_on"), next=F("need__value__next"),
        on=F("need__on"),
    ))  # fmt: skip


def _counted(rows: Iterable[Mapping[str, Any]], today: date) -> dict[int, Counter[str]]:
    found: dict[int, Counter[str]] = {}
    soon = today + timedelta(days=ENDING_DAYS)
    for row in rows:
        counts = found.setdefault(row["coach"], Counter())
        counts["clients"] += 1
        counts["need"] += bool(row["score"])
        counts["ending"] += row["ends"] is not None and row["ends"] <= soon
        counts.update(word for word in SEVERITIES if f" {word} " in (row["codes"] or ""))
    return found


def _sheets(rows: Iterable[Mapping[str, Any]], today: date) -> Counter[int]:
    last = (today + timedelta(days=SHEET_DAYS)).isoformat()
    due = {row["next"][0]: row["coach"] for row in rows if row["next"] and row["next"][3] <= last}
    there = IssuedSheet.objects.filter(planned_session__in=due).values_list("planned_session", flat=True)
    have = set(there)
    return Counter(coach for session, coach in due.items() if session not in have)


def _messages(desk: Membership) -> Mapping[int, int]:
    rows = ClientMessage.objects.filter(client__practice_id=desk.practice_id, client__archived_on=None)
    counted = rows.filter(answered_at=None).order_by().values_list("client__coach").annotate(n=Count("pk"))
    return dict(counted)


def _unseen(desk: Membership) -> Mapping[int, int]:
    rows = Handover.objects.filter(client__practice_id=desk.practice_id, client__archived_on=None, seen=None)
    counted = rows.filter(to_coach=F("client__coach")).order_by().values_list("to_coach")
    return dict(counted.annotate(n=Count("client", distinct=True)))


def _line(member: Membership, counts: Counter[str]) -> CoachLine:
    return CoachLine(
        member, counts["clients"], counts["need"], tuple((name, counts[name]) for name in SEVERITIES),
        counts["messages"], counts["sheets"], counts["ending"], counts["unseen"],
    )  # fmt: skip
