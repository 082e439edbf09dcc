"""Sessions that were logged from a sheet which the plan had left: what differs as it stands, and who has seen it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import QuerySet

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk.practice.models import Membership
from programs.logs.models import PlanGap, SessionLog
from programs.selectors.sheet_plan import Difference, Outline, outline_of_sheet, outlines, plan_differences, plan_rows

LISTED = 10


@dataclass(frozen=True)
class PlanGapShown:
    """One gap, and what differs today; `plan`: (programme, session) to look at, None where it is gone."""

    gap: PlanGap
    lines: tuple[Difference, ...]
    program: int | None
    session: int | None


def visible_plan_gaps(desk: Membership) -> QuerySet[PlanGap]:
    """Gaps of the clients this member may see."""
    clients = visible_clients(desk).order_by().values("pk")
    return PlanGap.objects.filter(session_log__client__in=clients).select_related("session_log__client__practice")


def plan_gap_of(session_log: SessionLog) -> PlanGapShown | None:
    """What differs today between this session's sheet and the plan, if it was logged across a change of it.

    None too once the plan says again what the sheet says.
    """
    gap = getattr(session_log, "plan_gap", None)
    sheet = session_log.sheet
    if gap is None or sheet is None:
        return None
    session = sheet.planned_session
    plans = outlines(plan_rows([session.pk])) if session else {}
    lines = plan_differences(outline_of_sheet(sheet.body), plans.get(session.pk) if session else None)
    shown = PlanGapShown(
        gap, tuple(lines), session.block.program_id if session else None, session.pk if session else None
    )  # fmt: skip
    return shown if lines else None


def unseen_gaps(clients: Iterable[int]) -> QuerySet[PlanGap]:
    """Gaps of these clients that no coach has seen yet."""
    return PlanGap.objects.filter(seen_at=None, session_log__client__in=list(clients))


def gap_trip(gaps: QuerySet[PlanGap]) -> "tuple[QuerySet[Any, Any], QuerySet[Any, Any]]":
    """Two queries for `one_trip`, whose answers `still_open` takes."""
    wanted = "session_log__sheet__planned_session"
    return gaps.values_list("session_log__client", "pk", "issued", wanted), plan_rows(gaps.values(wanted))


def still_open(gaps: Sequence[tuple[int, int, str, int | None]], plans: Iterable[tuple[Any, ...]]) -> list[int]:
    """The client of every gap that there still is: the plan may have been put back since."""
    now = outlines(plans)
    return [gap[0] for gap in gaps if _digest(now, gap[3]) != gap[2]]


def _digest(plans: Mapping[int, Outline], session: int | None) -> str:
    there = plans.get(session or 0)
    return there.digest if there else ""


def unseen_logs(client: Client) -> list[SessionLog]:
    """Up to 10 of the client's sessions with a gap that is open and not seen, newest first."""
    gaps = unseen_gaps([client.pk]).select_related("session_log__sheet").order_by("-session_log__done_on", "-id")
    found = list(gaps[: 5 * LISTED])
    plans = outlines(plan_rows([sheet.planned_session_id or 0 for gap in found if (sheet := gap.session_log.sheet)]))
    return [gap.session_log for gap in found if _is_open(gap, plans)][:LISTED]


def _is_open(gap: PlanGap, plans: Mapping[int, Outline]) -> bool:
    sheet = gap.session_log.sheet
    return _digest(plans, sheet.planned_session_id if sheet else None) != gap.issued
