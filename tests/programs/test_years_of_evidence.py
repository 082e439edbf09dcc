"""Ten years of logs cost a logged set no more than one year: what an estimate rests on, and what it keeps."""

import math
from dataclasses import replace
from datetime import date, timedelta
from random import Random
from typing import Any
from uuid import uuid4

import pytest

from clients.models import Client
from coachdesk import engine
from coachdesk.engine.simulate import CASES, simulate_lifter
from programs.models import Exercise, PainReport, StrengthEstimate, StrengthObservation
from programs.selectors.strength import EVIDENCE, evidence_of
from programs.services import refresh_estimates
from tests.factories.clients import ClientFactory
from tests.factories.programs import ExerciseFactory

LAST = date(2026, 11, 20)
LIFTERS = 20


@pytest.fixture
def client(db: None) -> Client:
    return Client.objects.select_related("practice").get(pk=ClientFactory().pk)


@pytest.fixture
def exercise(client: Client) -> Exercise:
    return ExerciseFactory()


def seen(client: Client, exercise: Exercise, on: date, load: int = 100_000, **more: Any) -> StrengthObservation:
    told = {"unit": "kg", "reps": 5, "rir": 2.0, "source_uid": uuid4(), **more}
    return StrengthObservation.objects.create(client=client, exercise=exercise, on=on, load=load, **told)


def weekly(client: Client, exercise: Exercise, last: date, weeks: int, **more: Any) -> None:
    for back in range(weeks):
        seen(client, exercise, last - timedelta(weeks=back), 100_000 - 50 * back, **more)


def test_an_estimate_rests_on_the_last_year_of_each_exercise_and_machine(
    client: Client, exercise: Exercise, django_assert_num_queries: Any
) -> None:
    other = ExerciseFactory()
    weekly(client, exercise, LAST, 520)
    weekly(client, exercise, LAST - timedelta(days=900), 80, machine="place:7")
    weekly(client, other, LAST - timedelta(days=800), 80)
    with django_assert_num_queries(3):
        found = evidence_of(client)
    assert [(one.first.exercise_id, one.first.machine, len(one.rows)) for one in found] == [
        (exercise.pk, "", 53), (exercise.pk, "place:7", 53), (other.pk, "", 53),
    ]  # fmt: skip
    assert found[0].first.on == LAST - timedelta(weeks=52)
    assert all(value.may_raise for value in found[0].values)


def test_the_second_and_third_session_raise_nothing_where_the_year_holds_the_first(
    client: Client, exercise: Exercise
) -> None:
    weekly(client, exercise, LAST, 20)
    assert [value.may_raise for value in evidence_of(client)[0].values] == [True, False, False, *[True] * 17]


def test_a_set_that_hurts_after_years_without_leaves_what_was_known(client: Client, exercise: Exercise) -> None:
    weekly(client, exercise, LAST - timedelta(days=700), 10)
    refresh_estimates(client.pk)
    known = StrengthEstimate.objects.get(client=client).mean_kg
    hurt = seen(client, exercise, LAST, 60_000)
    PainReport.objects.create(client=client, exercise=exercise, on=LAST, pain=9, source_uid=hurt.source_uid)
    refresh_estimates(client.pk)
    assert StrengthEstimate.objects.get(client=client).mean_kg == known


def test_the_last_year_says_no_less_than_three(client: Client) -> None:
    """Simulated lifters who train for three years: the last year's estimate is no worse, and as sure as it says.

    The filter's doubt is checked on logs of half a year (`coachdesk/engine/coverage.md`); over a longer log it trusts
    itself too much.
    """
    case = replace(CASES[0], weeks=(150, 156))
    off: dict[str, list[float]] = {"year": [], "whole": []}
    inside = 0
    for n in range(LIFTERS):
        lifter = simulate_lifter(Random(f"years:{n}"), case)
        for name, since in (("whole", date.min), ("year", lifter.as_of - EVIDENCE)):
            rows = [row for row in lifter.observations if row.on > since]
            known = engine.estimate_strength(rows, lifter.as_of, prior=engine.prior_from_log(rows))
            assert known is not None
            off[name].append(math.log(known.mean_kg / lifter.true_kg) ** 2)
        inside += known.low_kg <= lifter.true_kg <= known.high_kg
    assert sum(off["year"]) <= 1.05 * sum(off["whole"])
    assert inside >= 0.75 * LIFTERS
