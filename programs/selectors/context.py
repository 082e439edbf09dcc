"""What the engine's flags need beside the plan: from a client's facts, precautions, places and estimates."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from clients.mapping import client_traits, precautions_on
from clients.models import Client, Place
from coachdesk import engine
from coachdesk.engine.frozen import same
from coachdesk.practice.one_trip import one_trip
from programs.mapping import Known, exercises_in, machine_key, strengths_by_exercise
from programs.models import Absence, ClientDate, ExerciseMuscle, PlannedSession, StrengthEstimate, TrainingFacts

WEEK = 7
# Below this every exercise would look new to somebody who only just began to log.
KNOWN_FROM_WEEKS = 4
Facts = Mapping[str, Any]


def facts_of(clients: Iterable[int]) -> dict[int, Facts]:
    """The facts of these clients by id, with their days away and days to train towards; one query."""
    ids = list(clients)
    return gathered_facts(*one_trip(*facts_rows(ids)))


def facts_rows(clients: Any) -> tuple[QuerySet[Any, Any], ...]:
    """What `gathered_facts` needs, for a page that has more to fetch on the same trip (ids, or a query of them)."""
    of = {"client__in": clients}
    absences = Absence.objects.filter(**of, kind__in=Absence.UNTRAINED)
    dates = ClientDate.objects.filter(**of)
    tested = ExerciseMuscle.objects.filter(exercise__in=dates.values("exercise"), share=1000)
    return (
        TrainingFacts.objects.filter(**of).values_list("client_id", "value"),
        absences.values_list("client_id", "first_on", "last_on"),
        dates.values_list("client_id", "pk", "on", "kind", "exercise_id", "exercise__name", "note"),
        tested.values_list("exercise_id", "muscle"),
    )


def gathered_facts(
    facts: Iterable[Any], absences: Iterable[Any], dates: Iterable[Any], tested: Iterable[Any]
) -> dict[int, Facts]:
    """Facts by client: the row's value, `away` as (first, last) dates and `targets` as rows of `_targets`."""
    made: dict[int, dict[str, Any]] = {client: dict(value) for client, value in facts}
    muscles: dict[int, list[str]] = {}
    for exercise, code in tested:
        muscles.setdefault(exercise, []).append(code)
    for client, first, last in absences:
        made.setdefault(client, {}).setdefault("away", []).append((first, last))
    for client, pk, on, kind, exercise, name, note in dates:
        words = ClientDate.words_for(kind, name or "", note)
        row = (pk, on, kind, words, tuple(sorted(muscles.get(exercise, ()))))
        made.setdefault(client, {}).setdefault("targets", []).append(row)
    return dict(made)


def traits_of(client: Client, on: date, facts: Facts) -> engine.ClientTraits:
    """Who the client is to the engine on a day, with the recovery between sets that the logs tell of."""
    pace = facts.get("recovery", {}).get("pace", 1.0)
    # Coarse, so that what is already worked out stands until the client has really changed.
    return same(replace(client_traits(client, on), recovery=round(pace, 1)))


def recovery_of(client: Client) -> engine.Recovery | None:
    """How fast strength comes back between sets as the logs tell it; None until they do."""
    told = facts_of([client.pk]).get(client.pk, {}).get("recovery")
    found = engine.Recovery(told["pace"], told["sd"], told["n"]) if told else engine.Recovery()
    return found if found.learned else None


def known_of(client: Client) -> Known:
    """What is known of a client that loads follow from; three queries."""
    bests = list(client.timed_bests.all())
    return Known(list(client.strength_estimates.all()), bests, facts_of([client.pk]).get(client.pk, {}))


def context_for(
    client: Client, *, start_on: date | None, today: date, facts: Facts, sessions: Sequence[PlannedSession],
    estimates: Sequence[StrengthEstimate],
) -> engine.Context:  # fmt: skip
    """The context of a client's programme on a day (precautions prefetched, places of the sessions selected)."""
    held = precautions_on(client, today)
    known: dict[str, Any] = {
        "precautions": tuple(sorted({row.code for row in held if row.code})),
        "limited": tuple(sorted({row.muscle for row in held if row.muscle})),
        "alone": tuple(s.pk for s in sessions if (at := _place(s, client)) and at.spotter == Place.Spotter.NO),
        "minutes": float(client.minutes_per_session),
        "calibrated": tuple(pk for pk, one in strengths_by_exercise(estimates).items() if one.endurance is not None),
    }
    if start_on is None:
        return engine.Context(**known)
    dated = _dated(start_on, today, facts)
    return engine.Context(
        **known, **dated, today=(today - start_on).days, start_on=start_on, loads=_loads(facts),
        minutes_ratio=facts.get("minutes", 1.0), session_sets=facts.get("sets"), exposures=_exposures(facts),
        reports=tuple(facts.get("reports", ())), foreign=_foreign(facts, sessions, client, estimates),
    )  # fmt: skip


def _place(session: PlannedSession, client: Client) -> Any:
    return session.place or client.place


def _dated(start_on: date, today: date, facts: Facts) -> dict[str, Any]:
    """What is told by dates, in the programme's days and weeks."""
    weeks = facts.get("weeks")
    last_on = facts.get("last_on")
    before = [today - timedelta(days=n) for n in range(WEEK, 0, -1)]
    days = [facts.get("days", {}).get(day.isoformat(), {"sessions": 0, "load": 0.0}) for day in before]
    return {
        "weeks": None if weeks is None else tuple(
            (_week_no(start_on, monday), tuple(sets.items())) for monday, sets in weeks.items()
        ),
        "away": tuple(
            sorted(((first - start_on).days, (last - start_on).days) for first, last in facts.get("away", ()))
        ),
        "targets": tuple(
            engine.TargetDay(pk, (on - start_on).days, kind, words, muscles)
            for pk, on, kind, words, muscles in sorted(facts.get("targets", ()))
        ),
        "technique_weeks": tuple(_week_no(start_on, monday) for monday in facts.get("techniques", ())),
        "last_day": None if last_on is None else (date.fromisoformat(last_on) - start_on).days,
        "day_loads": tuple(day["load"] for day in days),
        "session_count": sum(day["sessions"] for day in days),
    }  # fmt: skip


def _week_no(start_on: date, monday: str) -> int:
    return (date.fromisoformat(monday) - start_on).days // WEEK + 1


def _loads(facts: Facts) -> tuple[engine.LoadDone, ...]:
    lifts = facts.get("lifts", {})
    return tuple(
        engine.LoadDone(int(pk), one["kg"], one["reps"], one["rir"]) for pk, one in lifts.items() if one.get("kg")
    )


def _exposures(facts: Facts) -> tuple[tuple[int, int], ...] | None:
    if len(facts.get("weeks") or ()) < KNOWN_FROM_WEEKS:
        return None
    return tuple((int(pk), one["weeks"]) for pk, one in facts.get("lifts", {}).items())


def _foreign(
    facts: Facts, sessions: Sequence[PlannedSession], client: Client, estimates: Sequence[StrengthEstimate]
) -> tuple[int, ...]:
    """Planned exercises on a stack whose maximum comes from other places' machines than the session's.

    Where the maximum's place is not known, the places where the exercise was logged speak for it.
    """
    machines: dict[int, set[str]] = {}
    for one in estimates:
        machines.setdefault(one.exercise_id, set()).add(one.machine)
    found = []
    for session in sessions:
        place = _place(session, client)
        for row in exercises_in(session):
            if place is None or row.exercise.equipment_kind != "stack":
                continue
            known = machines.get(row.exercise_id, set())
            seen = facts.get("lifts", {}).get(str(row.exercise_id), {}).get("places", ())
            elsewhere = bool(seen) and place.pk not in seen if "" in known or not known else True
            if elsewhere and machine_key(row.exercise, place.pk) not in known:
                found.append(row.pk)
    return tuple(found)
