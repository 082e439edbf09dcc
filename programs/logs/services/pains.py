"""Keeping what was said about pain in a session: with the log, and corrected or completed the next morning."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError

from clients.services import check_consent
from clients.services.stale import take_over
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import Tape, write
from programs.logs.models import SessionLog
from programs.logs.selectors.pains import reports_of
from programs.logs.services.replays import first_values
from programs.logs.services.rows import check_happened
from programs.logs.services.subjects import subject_of
from programs.models import PainReport
from programs.services import refresh_after_pain

EDITABLE = ("pain", "next_morning", "note")
Pains = Mapping[int, int]


def insert_pains(tape: Tape, session_log: SessionLog, pains: Pains) -> None:
    """The reports typed with a whole session, in its own act."""
    for exercise_id, pain in pains.items():
        tape.create(_row(session_log, exercise_id, {"pain": pain}))


def same_pains(session_log: SessionLog, pains: Pains) -> bool:
    """Whether a session saved before came with these reports."""
    rows = [row for row in reports_of(session_log) if row.exercise_id in pains]
    first = {values["exercise_id"]: values["pain"] for values in first_values(rows).values()}
    return first == dict(pains)


def _row(session_log: SessionLog, exercise_id: int | None, values: Mapping[str, Any]) -> PainReport:
    return PainReport(
        client_id=session_log.client_id, exercise_id=exercise_id, on=session_log.done_on,
        source_uid=session_log.key, **values,
    )  # fmt: skip


def record_pain(
    *, by: Membership | None, session_log: SessionLog, exercise_id: int | None, version: int, values: Mapping[str, Any],
    now: datetime,
) -> PainReport | None:  # fmt: skip
    """Write or correct the report of one exercise (None: the whole session); no pain and no note takes it away.

    `values`: any of EDITABLE; `version` 0 where the page showed no report. Raises StaleForm when somebody else
    changed the same fields, ValidationError for an exercise that was not done, for values outside 0 to 10 and for a
    session that was skipped.
    """
    if exercise_id is not None and not session_log.sets.filter(exercise_id=exercise_id).exists():
        raise ValidationError("This exercise was not done in this session; choose one of its own.")
    if values.get("note"):
        check_consent(session_log.client, "note")
    label = f"Pain in the {session_log}"
    with write(label, by=by, subject=subject_of(session_log.key), at=now) as tape:
        tape.lock(session_log.client)
        check_happened(session_log)
        row = _written(tape, session_log, exercise_id, version, values)
        refresh_after_pain(session_log.client_id, [session_log.key])
        return row


def _written(
    tape: Tape, session_log: SessionLog, exercise_id: int | None, version: int, values: Mapping[str, Any]
) -> PainReport | None:
    mine = PainReport.objects.filter(client_id=session_log.client_id, source_uid=session_log.key)
    found = next((row for row in mine if row.exercise_id == exercise_id), None)
    if found is None:
        return _create(tape, session_log, exercise_id, version, values)
    row = tape.lock(found)
    # Somebody wrote the report meanwhile: what was shown was nothing at all.
    base = version if 1 <= version <= row.version else 0
    take_over(row, version=base, fields=dict(values))
    if row.pain is None:
        _check_blank({"next_morning": row.next_morning, "note": row.note})
        tape.delete(row)
        return None
    return tape.save(row)


def _create(
    tape: Tape, session_log: SessionLog, exercise_id: int | None, version: int, values: Mapping[str, Any]
) -> PainReport | None:
    if version:
        raise ValidationError("This report was taken away meanwhile; open the page again to write a new one.")
    if values.get("pain") is None:
        _check_blank(values)
        return None
    return tape.create(_row(session_log, exercise_id, values))


def _check_blank(values: Mapping[str, Any]) -> None:
    if values.get("next_morning") is not None or values.get("note"):
        raise ValidationError({"pain": "Write the pain during the session too, 0 to 10; 0 for none."})
