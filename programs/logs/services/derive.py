"""What follows from the logs: weekly sums, evidence about maxima, estimates. Worked out anew, never incremented.

Call everything here inside `write`, with the client row locked: two writers must not derive from half of each other.
"""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from uuid import UUID

from django.db import transaction

from clients.mapping import house_rules
from clients.models import Client
from clients.services import follow_rules
from coachdesk.practice.models import Values
from coachdesk.practice.tape import derived, fields_of
from programs.logs.evidence import observations_from
from programs.logs.models import ExerciseWeek, MuscleWeek, SessionLog, SetLog
from programs.logs.services.facts import refresh_facts
from programs.logs.week_sums import RECENT_WEEKS, monday_of, weeks_from_sets
from programs.models import PainReport, StrengthObservation
from programs.services import refresh_estimates

__all__ = [
    "follow_day", "monday_of", "refresh_client", "refresh_log", "refresh_observations", "refresh_weeks",
]  # fmt: skip


def refresh_weeks(client_id: int, mondays: Iterable[date]) -> None:
    """Write the sums of these weeks (named by any day in them) from the set logs, per muscle and per exercise.

    What a set counts for follows the client's house rules as they stand now.
    """
    with transaction.atomic():
        rules = house_rules(Client.objects.select_related("practice").get(pk=client_id))
        for monday in sorted({monday_of(day) for day in mondays}):
            rows = week_rows(client_id, monday)
            MuscleWeek.objects.filter(client_id=client_id, monday=monday).delete()
            ExerciseWeek.objects.filter(client_id=client_id, monday=monday).delete()
            muscles, exercises = weeks_from_sets(client_id, monday, rows, rules)
            MuscleWeek.objects.bulk_create(muscles)
            ExerciseWeek.objects.bulk_create(exercises)


def week_rows(client_id: int, monday: date) -> Iterable[SetLog]:
    """The set logs of a client's week, exercises and their muscles with them."""
    rows = SetLog.objects.filter(client_id=client_id, done_on__range=(monday, monday + timedelta(days=6)))
    return rows.select_related("exercise").prefetch_related("exercise__muscles").order_by("done_on", "id")


def refresh_observations(session_log: SessionLog) -> set[int]:
    """Write this session's evidence about maxima anew. Gives the ids of the exercises of which it says other things."""
    return _rewrite(session_log.client_id, session_log.key, session_log)


def _rewrite(client_id: int, key: UUID, session_log: SessionLog | None) -> set[int]:
    before = StrengthObservation.objects.filter(client_id=client_id, source_uid=key)
    if session_log is None:
        # Reports written by later acts lose their session; they must not speak for it.
        PainReport.objects.filter(client_id=client_id, source_uid=key).delete()
    was, now = _by_exercise(before.order_by("id")), _by_exercise(_evidence(session_log) if session_log else ())
    # An exercise's estimate is a walk through all its evidence: only where a set changed what is said.
    touched = {pk for pk in was.keys() | now.keys() if _said(was.get(pk, ())) != _said(now.get(pk, ()))}
    before.filter(exercise_id__in=touched).delete()
    StrengthObservation.objects.bulk_create([row for pk in sorted(touched & now.keys()) for row in now[pk]])
    return touched


def _evidence(session_log: SessionLog) -> list[StrengthObservation]:
    sets = session_log.sets.select_related("exercise").order_by("position", "set_no", "side", "step_no", "id")
    return observations_from(session_log, list(sets))


def _by_exercise(rows: Iterable[StrengthObservation]) -> dict[int, list[StrengthObservation]]:
    found: dict[int, list[StrengthObservation]] = {}
    for row in rows:
        found.setdefault(row.exercise_id, []).append(row)
    return found


def _said(rows: Iterable[StrengthObservation]) -> list[Values]:
    """What these say, in their order, whatever their ids."""
    return [{name: value for name, value in fields_of(row).items() if name != "id"} for row in rows]


def refresh_log(session_log: SessionLog, exercise_ids: set[int]) -> None:
    """Everything that follows from one session whose sets of these exercises changed."""
    refresh_weeks(session_log.client_id, {session_log.done_on})
    refresh_estimates(session_log.client_id, refresh_observations(session_log) | exercise_ids)
    refresh_facts(session_log.client_id)


def refresh_client(client_id: int) -> None:
    """Everything of one client, from the first log on: after a bulk import, or to prove that nothing drifted."""
    days = set(SetLog.objects.filter(client_id=client_id).values_list("done_on", flat=True))
    days |= set(MuscleWeek.objects.filter(client_id=client_id).values_list("monday", flat=True))
    with transaction.atomic():
        refresh_weeks(client_id, days)
        logs = SessionLog.objects.filter(client_id=client_id).select_related("sheet", "client", "planned_session")
        for session_log in logs.order_by("id"):
            refresh_observations(session_log)
        refresh_estimates(client_id)
        refresh_facts(client_id)


def follow_day(session_log: SessionLog) -> None:
    """Sets carry their session's day, so that a week is found without a join; reports of pain carry it too."""
    session_log.sets.update(done_on=session_log.done_on)
    pains = PainReport.objects.filter(client_id=session_log.client_id, source_uid=session_log.key)
    pains.update(on=session_log.done_on)


def _after_undo(touched: list[Values]) -> None:
    """An undo changed sessions or their sets: refresh the weeks they were and are in, and their evidence."""
    for client_id in {values["client_id"] for values in touched}:
        mine = [values for values in touched if values["client_id"] == client_id]
        keys = {UUID(values["key"]) for values in mine if "logged_at" in values}
        owners = {values["session_log_id"] for values in mine if "session_log_id" in values}
        logs = SessionLog.objects.filter(client_id=client_id).select_related("sheet", "client", "planned_session")
        present = {log.key: log for log in logs.filter(key__in=keys)}
        present |= {log.key: log for log in logs.filter(pk__in=owners)}
        days = {date.fromisoformat(values["done_on"]) for values in mine}
        exercise_ids: set[int] = {values["exercise_id"] for values in mine if "exercise_id" in values}
        for log in present.values():
            follow_day(log)
            days.add(log.done_on)
        for key in keys | set(present):
            exercise_ids |= _rewrite(client_id, key, present.get(key))
        refresh_weeks(client_id, days)
        refresh_estimates(client_id, exercise_ids)
        refresh_facts(client_id)


def refresh_recent(client_ids: Sequence[int]) -> None:
    """What a set counts for has changed: count the weeks of the pages anew, for these clients.

    Weeks before the client's last thirteen with logs keep the count they were made with: years of a whole practice
    would hold the desk up for minutes.
    """
    for client_id in client_ids:
        mondays = MuscleWeek.objects.filter(client_id=client_id).order_by("-monday").values_list("monday", flat=True)
        refresh_weeks(client_id, list(mondays.distinct()[:RECENT_WEEKS]))


follow_rules("counting", refresh_recent)
derived("logs.sessionlog", _after_undo)
derived("logs.setlog", _after_undo)
