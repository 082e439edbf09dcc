"""Making and checking set-log rows: the one place where a done step becomes a row."""

from uuid import UUID

from django.core.exceptions import ValidationError

from programs.logs.mapping import DoneStep
from programs.logs.models import SessionLog, SetLog


def check_happened(session_log: SessionLog) -> None:
    """Raises ValidationError for a session that was skipped, perhaps since the page was drawn. Client row locked."""
    if SessionLog.objects.filter(pk=session_log.pk, status=SessionLog.Status.SKIPPED).exists():
        raise ValidationError("This session was skipped; nothing was done in it.")


def set_row(session_log: SessionLog, step: DoneStep, key: UUID) -> SetLog:
    """An unsaved row for a done step of this session."""
    return SetLog(
        session_log=session_log, client_id=session_log.client_id, exercise_id=step.exercise, key=key,
        done_on=session_log.done_on, position=step.position, set_no=step.set_no, step_no=step.step_no,
        side=step.side, rep_kind=step.rep_kind, planned_load=step.planned_load, planned_reps=step.planned_reps,
        planned_rir=step.planned_rir, load=step.load, unit=step.unit, reps=step.reps, rir=step.rir,
        as_written=step.as_written, failed=step.failed, body_load=step.body_load, setting=step.setting,
    )  # fmt: skip
