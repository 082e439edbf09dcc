"""Facts for flags, from the logs: habits, hardest sets, ratings and reports. Worked out anew, never incremented.

Everything counts back from the client's last log and not from today, so that recomputing gives the same row.
"""

from collections.abc import Iterable
from datetime import date, timedelta
from statistics import median
from typing import Any

from django.db.models import Count, Q

from coachdesk import engine
from programs.logs.models import ExerciseWeek, SessionLog, SetLog
from programs.logs.services.need_marks import mark_needs
from programs.logs.services.recovery import recovery_of
from programs.logs.services.set_rows import COLUMNS, SetRow
from programs.logs.settings import last_settings
from programs.models import ExerciseMuscle, TrainingFacts

WEEKS, TECHNIQUE_WEEKS = 8, 10
HARDEST_DAYS, RATED_DAYS = 28, 14
REPORTS, SESSIONS, TIMED = 20, 8, 20
MOST_REPS = 15


def refresh_facts(client_id: int) -> None:
    """Write the client's facts anew; no row without logs. Call inside `write`, after the weekly sums.

    The roster's row is marked: sums and estimates are behind it.
    """
    mark_needs([client_id])
    last = SetLog.objects.filter(client_id=client_id).order_by("-done_on").values_list("done_on", flat=True).first()
    value: dict[str, Any] = {"v": 1, "days": _days(client_id)}
    if not value["days"] and last is None:
        TrainingFacts.objects.filter(client_id=client_id).delete()
        return
    if last is not None:
        value |= _from_sets(client_id, last)
    TrainingFacts.objects.update_or_create(client_id=client_id, defaults={"value": value})


def _from_sets(client_id: int, last: date) -> dict[str, Any]:
    since = monday_before(last, TECHNIQUE_WEEKS - 1)
    logs = SetLog.objects.filter(client_id=client_id, done_on__gte=since).order_by("done_on", "id")
    rows = [SetRow(*row) for row in logs.values_list(*COLUMNS)]
    return {
        "weeks": _weeks(rows, last),
        "techniques": sorted({monday_before(row.on).isoformat() for row in rows if row.step_no > 1}),
        "lifts": _lifts(client_id, rows, last),
        "last_on": last.isoformat(),
        "sets": _usual_sets(rows),
        "reports": _reports(rows),
        "minutes": _minutes(client_id),
        "recovery": recovery_of(rows),
        "settings": last_settings(logs.exclude(setting="")),
    }


def monday_before(day: date, weeks: int = 0) -> date:
    """The Monday of the day's week, or so many weeks earlier."""
    return day - timedelta(days=day.weekday(), weeks=weeks)


def _weeks(rows: list[SetRow], last: date) -> dict[str, dict[str, float]]:
    """Sets done per muscle, however near to failure: what was done easily was done all the same, and is a habit."""
    since = monday_before(last, WEEKS - 1)
    sets = {(row.on, row.session, row.exercise, row.position, row.set_no) for row in rows if row.on >= since}
    shares: dict[int, list[tuple[str, int]]] = {}
    muscles = ExerciseMuscle.objects.filter(exercise__in={one[2] for one in sets}).order_by("exercise", "id")
    for exercise, code, share in muscles.values_list("exercise", "muscle", "share"):
        shares.setdefault(exercise, []).append((code, share))
    sums: dict[str, dict[str, int]] = {}
    for on, _, exercise, _, _ in sorted(sets):
        week = sums.setdefault(monday_before(on).isoformat(), {})
        for code, share in shares.get(exercise, ()):
            week[code] = week.get(code, 0) + share
    return {monday: {code: total / 1000 for code, total in sorted(week.items())} for monday, week in sums.items()}


def _lifts(client_id: int, rows: list[SetRow], last: date) -> dict[str, dict[str, Any]]:
    """By exercise: the set of the last four weeks that asks most, in how many weeks it was done, and where."""
    done = ExerciseWeek.objects.filter(client_id=client_id).values_list("exercise_id").annotate(weeks=Count("id"))
    made: dict[str, dict[str, Any]] = {
        str(exercise): {"weeks": weeks, "places": []} for exercise, weeks in done.order_by("exercise_id")
    }
    places = _places(client_id, {row.session for row in rows})
    hardest: dict[int, float] = {}
    for row in rows:
        one = made.setdefault(str(row.exercise), {"weeks": 0, "places": []})
        place = places.get(row.session)
        if row.moved and place is not None and place not in one["places"]:
            one["places"] = sorted([*one["places"], place])
        implied = _implied_kg(row, last)
        if implied is not None and implied > hardest.get(row.exercise, 0.0):
            hardest[row.exercise] = implied
            one |= {"kg": round(engine.to_kg(row.moved, row.unit), 3), "reps": row.reps, "rir": _reserve(row)}
    return made


def _reserve(row: SetRow) -> float:
    """What was left: as typed, none after a miss, else as planned."""
    if row.rir is not None:
        return row.rir
    return 0.0 if row.failed else min(10.0, row.planned_rir or 0.0)


def _implied_kg(row: SetRow, last: date) -> float | None:
    if row.step_no != 1 or row.rep_kind != "reps" or not row.moved or not 1 <= row.reps <= MOST_REPS:
        return None
    if row.on < last - timedelta(days=HARDEST_DAYS):
        return None
    fraction = engine.fraction_for_reps(row.reps + _reserve(row), endurance=row.endurance)
    return engine.to_kg(row.moved, row.unit) / fraction


def _places(client_id: int, sessions: Iterable[int]) -> dict[int, int]:
    """Where sessions were done: their own place; where a sheet was handed over, else the plan's or the usual one."""
    known = Q(sheet__isnull=False) | Q(place__isnull=False)
    rows = SessionLog.objects.filter(known, pk__in=list(sessions))
    places = {pk: own or usual for pk, own, usual in rows.values_list("pk", "place", "usual_place")}
    return {pk: place for pk, place in places.items() if place}


def _usual_sets(rows: list[SetRow]) -> float:
    """The median number of sets of the last eight sessions."""
    sets: dict[int, set[tuple[int, int]]] = {}
    for row in rows:
        sets.setdefault(row.session, set()).add((row.position, row.set_no))
    return float(median([len(found) for found in sets.values()][-SESSIONS:]))


def _reports(rows: list[SetRow]) -> list[float | None]:
    """RIR typed with the latest sets that had one planned short of failure; None where none was typed."""
    asked = [row for row in rows if row.step_no == 1 and row.rep_kind == "reps" and row.planned_rir]
    return [row.rir if row.rir is not None else (0.0 if row.failed else None) for row in asked[-REPORTS:]]


def _minutes(client_id: int) -> float:
    logs = SessionLog.objects.filter(client_id=client_id, sheet__isnull=False, minutes__gt=0, status="done")
    latest = logs.order_by("-done_on", "-id").values_list("sheet__body__minutes", "minutes")[:TIMED]
    return round(
        engine.minutes_ratio([(float(planned), float(taken)) for planned, taken in latest if planned and taken]), 4
    )


def _days(client_id: int) -> dict[str, dict[str, Any]]:
    """Sessions of the last fortnight with logs, and their load where every one of the day was rated."""
    done = SessionLog.objects.filter(client_id=client_id, status=SessionLog.Status.DONE)
    last = done.order_by("-done_on").values_list("done_on", flat=True).first()
    made: dict[str, dict[str, Any]] = {}
    if last is None:
        return made
    recent = done.filter(done_on__gt=last - timedelta(days=RATED_DAYS)).order_by("done_on", "id")
    for on, rating, minutes in recent.values_list("done_on", "rating", "minutes"):
        day = made.setdefault(on.isoformat(), {"sessions": 0, "load": 0.0})
        day["sessions"] += 1
        if rating is None or minutes is None or day["load"] is None:
            day["load"] = None
        else:
            day["load"] += engine.session_load(rating, minutes)
    return made
