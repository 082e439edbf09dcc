"""The last time a client did an exercise, set by set, for the next sheet."""

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django.db.models import Max, Q

from programs.logs.models import SetLog
from programs.selectors.last_times import told_by

# What is older says little of today; common practice, no source.
LONGEST_AGO = timedelta(weeks=26)
COLUMNS = (
    "exercise_id", "done_on", "session_log_id", "position", "set_no", "step_no", "side", "load", "unit", "setting",
    "reps", "rep_kind", "rir", "failed",
)  # fmt: skip


def last_times(client_id: int, exercises: Iterable[int], before: date) -> dict[int, dict[str, Any]]:
    """The sets of the latest session of each exercise within half a year before a day, in order; two queries.

    Of an exercise planned twice in one session, its first place counts.
    """
    logs = SetLog.objects.filter(client=client_id, done_on__lt=before, done_on__gte=before - LONGEST_AGO)
    days = logs.filter(exercise__in=list(exercises)).order_by("exercise_id").values("exercise_id")
    latest = Q(pk=None)
    for row in days.annotate(on=Max("done_on")):
        latest |= Q(exercise=row["exercise_id"], done_on=row["on"])
    rows = logs.filter(latest).order_by("-session_log_id", "position", "set_no", "side", "step_no", "id")
    return _told(rows.values_list(*COLUMNS))


def last_times_in(session: Iterable[SetLog]) -> dict[int, dict[str, Any]]:
    """The same of one session's sets in memory, saved or not: what a later sheet says of it."""
    rows = sorted(session, key=lambda row: (row.position, row.set_no, row.side, row.step_no))
    return _told(tuple(getattr(row, name) for name in COLUMNS) for row in rows)


def _told(rows: Iterable[tuple[Any, ...]]) -> dict[int, dict[str, Any]]:
    """From rows of COLUMNS, the latest session first and its sets in order."""
    found: dict[int, dict[str, Any]] = {}
    kept: dict[int, tuple[int, int]] = {}
    for exercise, on, session, position, set_no, step, side, load, unit, setting, *done in rows:
        if kept.setdefault(exercise, (session, position)) != (session, position):
            continue
        one = found.setdefault(exercise, {"on": on.isoformat(), "sets": []})
        reps, kind, rir, failed = done
        one["sets"].append({
            "set": set_no, "step": step, "side": side, "load": load, "unit": unit, "setting": setting, "reps": reps,
            "rep_kind": kind, "rir": rir, "failed": failed,
        })  # fmt: skip
    return found


told_by(last_times)
