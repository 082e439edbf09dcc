"""What the logs add up to, counted plainly from the rows; and everything derived, worked out anew from nothing."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.db import models, transaction

from clients.models import Client
from programs.logs.models import ClientNeed, ExerciseWeek, MuscleWeek, PlanGap, SetLog
from programs.logs.selectors.needs import worked_out
from programs.logs.services import refresh_client
from programs.logs.services.needs import FIELDS
from programs.models import StrengthEstimate, StrengthObservation, TrainingFacts

# Written by nobody: worked out from the logs, and rebuilt from them by `refresh_client`.
REBUILT: tuple[type[models.Model], ...] = (
    MuscleWeek, ExerciseWeek, StrengthObservation, StrengthEstimate, TrainingFacts,
)  # fmt: skip
# Worked out when somebody looks; and found when a set is logged, by what the plan said then.
LOOKED_AT, FOUND = (ClientNeed,), (PlanGap,)


def effort(row: SetLog) -> float | None:
    """Reps in reserve as a plain reading of the row."""
    if row.rir is not None:
        return row.rir
    if row.failed:
        return 0
    if row.planned_rir is None:
        return None
    return max(0, row.planned_rir - (row.reps - row.planned_reps if row.planned_reps is not None else 0))


def counted(steps: Sequence[SetLog], hard: float = 3) -> float:
    """One set by the house rule: 1 if the first bout ends within 3 RIR, + 0.5 a further hard drop, at most 3."""
    first = effort(steps[0])
    if first is None:
        return 1.0
    if first > hard + 0.05:
        return 0.0
    left = [effort(s) for s in steps[1:] if s.reps >= 4]
    return min(3.0, 1 + 0.5 * sum(1 for rir in left if rir is not None and rir <= 2.05))


def moved(row: SetLog) -> int:
    """Load x reps of one step in thousandths, implements and both sides counted; the body's part included."""
    both = 2 if row.exercise.limbs == "one" and row.side == "b" else 1
    mass = max(0, (row.load or 0) + (row.body_load or 0))
    return mass * row.reps * row.exercise.implements * both if row.rep_kind == "reps" else 0


def _sets(client: Client) -> list[list[SetLog]]:
    groups = defaultdict(list)
    for row in SetLog.objects.filter(client=client).select_related("exercise").order_by("step_no", "id"):
        groups[(row.session_log_id, row.position, row.set_no, row.side)].append(row)
    return list(groups.values())


def monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def plain_sums(client: Client, hard: float = 3) -> dict[tuple[date, str], tuple[int, ...]]:
    """(week, muscle) -> sets, kg and lb in thousandths, counted straight from the rows."""
    sums: dict[tuple[date, str], list[float]] = defaultdict(lambda: [0.0, 0.0, 0.0])
    for steps in _sets(client):
        sets = counted(steps, hard) * (0.5 if steps[0].side in "lr" else 1)
        lifted = {unit: sum(moved(s) for s in steps if s.unit == unit) for unit in ("kg", "lb")}
        for muscle in steps[0].exercise.muscles.all():
            parts = (1000 * sets, lifted["kg"], lifted["lb"])
            key = (monday(steps[0].done_on), muscle.muscle)
            sums[key] = [a + muscle.share / 1000 * b for a, b in zip(sums[key], parts, strict=True)]
    return {key: tuple(round(v) for v in values) for key, values in sums.items()}


def kept_sums(client: Client) -> dict[tuple[date, str], tuple[int, ...]]:
    """The same as the desk keeps it."""
    rows = MuscleWeek.objects.filter(client=client)
    return {(r.monday, r.muscle): (r.sets, r.volume_kg, r.volume_lb) for r in rows}


def plain_lifts(client: Client, hard: float = 3) -> dict[tuple[date, int], tuple[int, ...]]:
    """(week, exercise) -> sets, reps, kg and lb, counted straight from the rows."""
    sums: dict[tuple[date, int], list[float]] = defaultdict(lambda: [0.0, 0, 0, 0])
    for steps in _sets(client):
        one = sums[(monday(steps[0].done_on), steps[0].exercise_id)]
        one[0] += 1000 * counted(steps, hard) * (0.5 if steps[0].side in "lr" else 1)
        for s in steps:
            one[1] += s.reps if s.rep_kind == "reps" else 0
            one[2 if s.unit == "kg" else 3] += moved(s)
    return {key: tuple(round(v) for v in values) for key, values in sums.items()}


def kept_lifts(client: Client) -> dict[tuple[date, int], tuple[int, ...]]:
    """The same as the desk keeps it."""
    rows = ExerciseWeek.objects.filter(client=client)
    return {(r.monday, r.exercise_id): (r.sets, r.reps, r.volume_kg, r.volume_lb) for r in rows}


def values(model: type[models.Model], client: Client) -> list[str]:
    """A client's rows of a kind as text, ids left out. Tests of a lift are typed, not derived."""
    names = [f.attname for f in model._meta.concrete_fields if f.name != "id"]
    rows = model._default_manager.filter(client=client)
    if model is StrengthObservation:
        rows = rows.filter(is_test=False)
    return sorted(map(str, rows.values_list(*names)))


def derived(client: Client) -> dict[str, list[str]]:
    """Everything kept that follows from the logs."""
    return {model.__name__: values(model, client) for model in REBUILT}


def worked_anew(client: Client) -> dict[str, list[str]]:
    """The same worked out from nothing; the database is left as it was."""
    with transaction.atomic():
        for model in REBUILT:
            rows = model._default_manager.filter(client=client)
            (rows.filter(is_test=False) if model is StrengthObservation else rows).delete()
        refresh_client(client.pk)
        made = derived(client)
        transaction.set_rollback(True)
    return made


def wrong_need(client: Client, today: date) -> list[str]:
    """The fields of the roster's row that say something else than one worked out now, unless it says it is behind."""
    row = ClientNeed.objects.filter(client=client).first()
    if row is None or row.marked != row.worked or row.on != today:
        return []
    fresh = Client.objects.select_related("coach__user", "place", "practice").get(pk=client.pk)
    made: Any = worked_out([fresh], today)[client.pk]
    return [name for name in FIELDS if getattr(row, name) != getattr(made, name)]
