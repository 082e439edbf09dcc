"""Logging one acknowledged set, and correcting or removing one. `by` None: within an act that was opened before."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError

from clients.services.stale import take_over
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.logs.mapping import DoneStep, missed
from programs.logs.models import SessionLog, SetLog
from programs.logs.services.derive import refresh_log
from programs.logs.services.plan_gaps import note_plan_gaps
from programs.logs.services.replays import Replayed, refuse_set_replay
from programs.logs.services.rows import check_happened, set_row
from programs.logs.services.session_logs import check_version, subject_of

EDITABLE = ("load", "setting", "reps", "rir")


def log_set(*, by: Membership | None, session_log: SessionLog, key: UUID, step: DoneStep, now: datetime) -> SetLog:
    """One set of a session under a client-made key. The same key and payload give the first row again.

    Raises KeyReused for the same key with another payload; ValidationError when the step is logged already, and for a
    session that was skipped.
    """
    label = f"Log set {step.set_no} of {session_log}"
    try:
        with write(label, by=by, subject=subject_of(session_log.key), at=now) as tape:
            tape.lock(session_log.client)
            row = set_row(session_log, step, key)
            refuse_set_replay(row)
            check_happened(session_log)
            _refuse_taken(row)
            tape.create(row)
            note_plan_gaps(tape, [session_log], now)
            refresh_log(session_log, {step.exercise})
    except Replayed as replay:
        return replay.row  # type: ignore[return-value]
    return row


def _refuse_taken(row: SetLog) -> None:
    here = SetLog.objects.filter(session_log_id=row.session_log_id, position=row.position, set_no=row.set_no)
    there = here.filter(step_no=row.step_no, side=row.side).first()
    if there is not None:
        raise ValidationError(
            f"This set is logged already with {there.reps} {there.rep_kind}; change that row instead."
        )


def edit_set(*, by: Membership | None, set_log: SetLog, version: int, values: dict[str, Any], now: datetime) -> SetLog:
    """Correct load (thousandths), setting, reps or RIR of a set. `values`: any of EDITABLE. Raises StaleEdit.

    Whether it was done as written, and whether it ended in failure, follows from the numbers.
    """
    session_log = set_log.session_log
    with write(
        f"Change set {set_log.set_no} of {session_log}", by=by, subject=subject_of(session_log.key), at=now
    ) as t:
        t.lock(session_log.client)
        row = t.lock(set_log)
        was = (row.load, row.setting, row.reps)
        check_version(version, row)
        take_over(row, version=version, fields={name: values[name] for name in EDITABLE if name in values})
        row.as_written = row.as_written and (row.load, row.setting, row.reps) == was
        row.failed = not (row.as_written and row.rir is None) and missed(
            load=row.load, reps=row.reps, rir=row.rir, planned_load=row.planned_load,
            planned_reps=row.planned_reps, planned_rir=row.planned_rir,
        )  # fmt: skip
        t.save(row)
        refresh_log(session_log, {row.exercise_id})
    return row


def remove_set(*, by: Membership | None, set_log: SetLog, version: int, now: datetime) -> None:
    """Take a set out that was not done after all; undo brings it back. Raises ValidationError when it changed since."""
    session_log = set_log.session_log
    with write(
        f"Remove set {set_log.set_no} of {session_log}", by=by, subject=subject_of(session_log.key), at=now
    ) as t:
        t.lock(session_log.client)
        row = t.lock(set_log)
        if row.version != version:
            raise ValidationError(f"This set was changed to {row.reps} reps meanwhile; look at it before removing it.")
        t.delete(row)
        refresh_log(session_log, {row.exercise_id})
