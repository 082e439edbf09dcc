"""Noting that a session was logged from a sheet that the plan had left, and that the coach has seen it."""

from collections.abc import Iterable
from datetime import datetime

from django.core.exceptions import ValidationError

from coachdesk.practice.models import Membership
from coachdesk.practice.rows import parts
from coachdesk.practice.tape import Tape, write
from programs.logs.models import PlanGap, SessionLog
from programs.logs.services.subjects import subject_of
from programs.selectors.sheet_plan import Outline, outline_of_sheet, outlines, plan_rows


def note_plan_gaps(tape: Tape, session_logs: Iterable[SessionLog], now: datetime) -> None:
    """Note which of these sessions, from which sets were just logged, go by a sheet that the plan has left.

    Nothing else is changed: what was logged stays with its sheet. Call inside `write`, with the client row locked.
    """
    logs = [log for log in session_logs if log.sheet_id is not None]
    for some in parts(logs):
        ids = {log.sheet.planned_session_id for log in some if log.sheet and log.sheet.planned_session_id}
        plans = outlines(plan_rows(ids)) if ids else {}
        for log in some:
            _note(tape, log, plans, now)


def _note(tape: Tape, log: SessionLog, plans: dict[int, Outline], now: datetime) -> None:
    if log.sheet is None:
        return
    there = plans.get(log.sheet.planned_session_id or 0)
    issued, plan = outline_of_sheet(log.sheet.body).digest, there.digest if there else ""
    if issued == plan:
        return
    known = PlanGap.objects.filter(session_log=log).first()
    if known is None:
        # Not on the tape itself: it follows from what is logged and goes with its session.
        tape.create(PlanGap(session_log=log, issued=issued, plan=plan, found_at=now), record=False)
    elif known.plan != plan:
        row = tape.lock(known)
        row.plan, row.found_at, row.seen_at, row.seen_by = plan, now, None, None
        tape.save(row)


def see_plan_gap(*, by: Membership, gap: PlanGap, version: int, now: datetime) -> PlanGap:
    """Say that the coach has seen it; saying so again changes nothing.

    Raises ValidationError when the plan changed again and more was logged since the page was drawn.
    """
    log = gap.session_log
    with write("Say that the change of plan was seen", by=by, subject=subject_of(log.key), at=now) as tape:
        row = tape.lock(gap)
        if row.seen_at is not None:
            return row
        if row.version != version:
            raise ValidationError("The plan was changed again meanwhile; look at what differs now.")
        row.seen_at, row.seen_by = now, by
        return tape.save(row)
