"""Whether the weekly sums still say what the set logs say: looked at when a backup is verified, never on a page."""

from collections import defaultdict
from datetime import date

from clients.mapping import house_rules
from clients.models import Client
from programs.logs.models import ExerciseWeek, LogImport, MuscleWeek, SetLog
from programs.logs.week_sums import RECENT_WEEKS, monday_of, weeks_from_sets

Week = MuscleWeek | ExerciseWeek
Sums = dict[int | str, tuple[int, ...]]


def drifted_weeks(client: Client) -> list[date]:
    """The Mondays of this client's weeks whose kept sums differ from a recomputation, in order.

    When the house rules change, weeks before the client's last thirteen keep the sets that were counted then: of
    those only loads and reps are compared, which do not follow the rules. Weeks that an import has still to work out
    say nothing of drift.
    """
    waiting = _waiting(client)
    kept, fresh = _kept(client), _fresh(client)
    counted = sorted(day for day, weeks in kept.items() if any(isinstance(week, MuscleWeek) for week in weeks))
    recent = counted[-RECENT_WEEKS:]
    days = sorted({*kept, *fresh} - waiting)
    return [day for day in days if _sums(kept[day], day in recent) != _sums(fresh[day], day in recent)]


def _waiting(client: Client) -> set[date]:
    imports = LogImport.objects.filter(practice=client.practice_id).exclude(waiting=[])
    pieces = [piece for waiting in imports.values_list("waiting", flat=True) for piece in waiting]
    return {monday_of(date.fromisoformat(day)) for pk, days in pieces if pk == client.pk for day in days}


def _kept(client: Client) -> dict[date, list[Week]]:
    kept: dict[date, list[Week]] = defaultdict(list)
    for muscle in MuscleWeek.objects.filter(client=client):
        kept[muscle.monday].append(muscle)
    for exercise in ExerciseWeek.objects.filter(client=client):
        kept[exercise.monday].append(exercise)
    return kept


def _fresh(client: Client) -> dict[date, list[Week]]:
    rows: dict[date, list[SetLog]] = defaultdict(list)
    logs = SetLog.objects.filter(client=client).select_related("exercise").prefetch_related("exercise__muscles")
    for row in logs.order_by("done_on", "id"):
        rows[monday_of(row.done_on)].append(row)
    rules = house_rules(client)
    fresh: dict[date, list[Week]] = defaultdict(list)
    for monday, week in rows.items():
        muscles, exercises = weeks_from_sets(client.pk, monday, week, rules)
        fresh[monday] = [*muscles, *exercises]
    return fresh


def _sums(weeks: list[Week], with_sets: bool) -> Sums:
    found: Sums = {}
    for week in weeks:
        if isinstance(week, MuscleWeek):
            sets, always = (week.sets, week.sets_low, week.sets_high), (week.volume_kg, week.volume_lb)
            found[week.muscle] = (*sets, *always) if with_sets else always
        else:
            by_reps = (week.reps, week.volume_kg, week.volume_lb)
            found[week.exercise_id] = (week.sets, *by_reps) if with_sets else by_reps
    return found
