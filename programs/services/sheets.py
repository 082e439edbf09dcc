"""Handing a session over: an immutable copy of what was prescribed, with its cautions."""

import hashlib
import json
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError

from clients.models import Client, Place
from clients.selectors import today_for
from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.models import IssuedSheet, PlannedSession
from programs.selectors.last_times import last_times
from programs.selectors.prescription import ProgramView, Shown, program_view
from programs.selectors.programs import session_on
from programs.services.flags import dismiss_flag
from programs.services.sheet_body import sheet_body


class HandoverStopped(Exception):
    """A stop stands against this session; handing over needs the coach's written reason."""

    def __init__(self, flags: list[engine.Flag]) -> None:
        super().__init__("A stop stands against this session.")
        self.flags = flags


def stops_for(view: ProgramView, session_id: int) -> list[engine.Flag]:
    """The stops nobody has answered that concern this session."""
    return [f for f in view.open_flags() if f.severity == "stop" and f.where.session_key in (None, session_id)]


def issue_sheet(*, by: Membership, session: PlannedSession, now: datetime, why: str = "") -> IssuedSheet:
    """Issue the sheet of a client's planned session; the same content again gives the sheet already issued.

    Raises HandoverStopped when a stop is open and `why` is empty; ValidationError for a template.
    """
    view = handover_view(session, now)
    stops = stops_for(view, session.pk)
    # To hand over in spite of a stop is a coach's decision, whatever reason an assistant may write.
    if stops and not (why.strip() and by.can_write):
        raise HandoverStopped(stops)
    with write(_label(session), by=by, at=now):
        for flag in stops:
            dismiss_flag(by=by, program=session.block.program, flag=flag, why=why, now=now)
        return _issue(by, view, session, now)


def handover_view(session: PlannedSession, now: datetime, at: Place | None = None) -> ProgramView:
    """The programme as worked out for handing this session over, trained at its own place or `at` another one.

    Raises ValidationError for a template.
    """
    client = _client_of(session)
    return program_view(session.block.program, client=client, on=today_for(client, now), shown=Shown(session.pk, at=at))


def issue_shown(*, by: Membership | None, view: ProgramView, session: PlannedSession, now: datetime) -> IssuedSheet:
    """As `issue_sheet`, from a programme already worked out: a week's sessions share one. Raises as it does.

    `by` None: within an act that was opened before.
    """
    _client_of(session)
    stops = stops_for(view, session.pk)
    if stops:
        raise HandoverStopped(stops)
    with write(_label(session), by=by, at=now):
        return _issue(by, view, session, now)


def _label(session: PlannedSession) -> str:
    client = session.block.program.client
    return f"Issue {session.name}, week {session.week_no}, to {client.name if client else 'nobody'}"[:200]


def _client_of(session: PlannedSession) -> Client:
    client = session.block.program.client
    if client is None or session_on(session) is None:
        raise ValidationError("A template has no client; assign it first, then hand out its sheets.")
    return client


def _issue(by: Membership | None, view: ProgramView, session: PlannedSession, now: datetime) -> IssuedSheet:
    client, shown, on = _client_of(session), view.session(session.pk), session_on(session)
    if shown is None or on is None:
        raise ValidationError("This session lies outside the weeks of its programme.")
    decided = view.program.flag_decisions.filter(code__in=["screening_missing", "clearance_expired"])
    exercises = [one.row.exercise_id for one in shown.exercises]
    body = sheet_body(shown, view, sorted({d.why for d in decided}), last_times(client.pk, exercises, on))
    row = sheet_row(client_id=client.pk, session=session, on=on, now=now, body=body)
    same = IssuedSheet.objects.filter(planned_session=session, digest=row.digest).order_by("-id").first()
    if same is not None:
        return same
    with write(_label(session), by=by, at=now) as tape:
        return tape.create(row)


def sheet_row(*, client_id: int, session: PlannedSession, on: date, now: datetime, body: dict[str, Any]) -> IssuedSheet:
    """The unsaved sheet with this body; its digest tells whether the same content was issued before."""
    digest = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
    return IssuedSheet(client_id=client_id, planned_session=session, for_on=on, issued_at=now, digest=digest, body=body)
