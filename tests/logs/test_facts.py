"""What the logs tell the flags: written with every log, read by plans with one query, gone with the last log."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.models import Client
from coachdesk import engine
from programs.logs import services
from programs.logs.mapping import done_otherwise, sheet_exercises
from programs.models import TrainingFacts
from programs.selectors import program_view
from programs.selectors.context import context_for, facts_of
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, PrecautionFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, drop_set, exercise_body, logged, straight_sets
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def rosa(desk):
    place = PlaceFactory(practice=desk.practice, name="Garage", spotter="no")
    EquipmentFactory(place=place)
    return ClientFactory(coach=desk, name="Rosa", place=place, minutes_per_session=15)


@pytest.fixture
def bench():
    return ExerciseFactory(name="Bench press")


def log_weeks(client, exercise, weeks, sets=4, **fields):
    """One session a week on the Tuesdays before TUESDAY, all done as written."""
    for n in range(weeks, 0, -1):
        body = [exercise_body(exercise, 1, steps=straight_sets(sets, **fields))]
        sheet = IssuedSheetFactory(client=client, for_on=TUESDAY - timedelta(weeks=n), exercises=body)
        logged(sheet, minutes=60, rating=7)


def value_of(client):
    return TrainingFacts.objects.get(client=client).value


def test_a_log_is_told_in_facts(rosa, bench):
    log_weeks(rosa, bench, 3)
    facts = value_of(rosa)
    assert list(facts["weeks"].values()) == [{"chest": 4.0, "triceps": 2.0}] * 3
    assert facts["last_on"] == (TUESDAY - timedelta(weeks=1)).isoformat()
    assert (facts["sets"], facts["techniques"], facts["reports"]) == (4.0, [], [None] * 12)
    assert facts["lifts"][str(bench.pk)] == {"weeks": 3, "places": [rosa.place_id], "kg": 70.0, "reps": 8, "rir": 2.0}
    # rating 7 x 60 minutes (Foster 2001)
    assert facts["days"][facts["last_on"]] == {"sessions": 1, "load": 420.0}


def test_easy_sets_are_a_habit_too_and_left_and_right_are_one(rosa, bench):
    split = ExerciseFactory(muscles={"quads": 1000}, limbs="one")
    sides = [
        step for n in (1, 2) for side in "lr" for step in straight_sets(1, side=side) if step.update(set=n) is None
    ]
    sheet = IssuedSheetFactory(client=rosa, exercises=[exercise_body(split, 1, steps=sides)])
    steps = [
        done_otherwise(step, load=40_000, reps=8, rir=6.0) for one in sheet_exercises(sheet.body) for step in one.steps
    ]
    logged(sheet, steps=steps)
    assert list(value_of(rosa)["weeks"].values()) == [{"quads": 2.0}]


def test_techniques_and_unrated_days_are_noticed(rosa, bench):
    logged(IssuedSheetFactory(client=rosa, exercises=[exercise_body(bench, 1, steps=drop_set())]), minutes=40)
    facts = value_of(rosa)
    assert facts["techniques"] == [MONDAY.isoformat()]
    assert facts["days"] == {TUESDAY.isoformat(): {"sessions": 1, "load": None}}


def test_facts_follow_corrections_and_go_with_the_last_log(rosa, bench, desk):
    log = logged(IssuedSheetFactory(client=rosa, exercises=[exercise_body(bench)]), minutes=60, rating=5)
    assert value_of(rosa)["days"][TUESDAY.isoformat()]["load"] == 300
    services.edit_session_log(by=desk, session_log=log, version=log.version, values={"rating": 8}, now=NOON)
    assert value_of(rosa)["days"][TUESDAY.isoformat()]["load"] == 480
    services.undo_session_log(by=desk, session_log=log)
    assert value_of(rosa)["days"][TUESDAY.isoformat()]["load"] == 300
    services.undo_session_log(by=desk, session_log=log)
    assert not TrainingFacts.objects.filter(client=rosa).exists()


def planned(client, exercise, weeks=2, sets="9", **fields):
    program = ProgramFactory(coach=client.coach, client=client, weeks=weeks)
    for n in range(1, weeks + 1):
        session = PlannedSessionFactory(program=program, week_no=n, day=3, name="Push")
        scheme = scheme_json(load_kind="effort", load_value="", sets=sets, reps="8", rir="2", **fields)
        PlannedExerciseFactory(session=session, exercise=exercise, scheme=scheme)
    return program


def flags_of(program, client):
    fresh = Client.objects.select_related("place", "practice").get(pk=client.pk)
    return {flag.code: flag for flag in program_view(program, client=fresh, on=TUESDAY).open_flags()}


def test_the_plan_is_held_against_the_habit_and_the_time_there_is(rosa, bench):
    log_weeks(rosa, bench, 4)
    found = flags_of(planned(rosa, bench), rosa)
    assert {"volume_jump", "over_time"} <= set(found)
    assert found["volume_jump"].sentence.startswith("Chest: 9 sets in week 1 against a habit of 4 (median of 4 weeks)")
    assert not {"volume_jump", "over_time"} & set(flags_of(planned(rosa, bench, sets="4"), rosa))


def test_without_logs_nothing_is_held_against_a_habit(rosa, bench):
    assert "volume_jump" not in flags_of(planned(rosa, bench), rosa)
    assert facts_of([rosa.pk]) == {}


def test_a_place_without_spotter_and_a_precaution_reach_the_flags(rosa, bench):
    PrecautionFactory(client=rosa, words="Tablets since May", code="high_blood_pressure")
    near = planned(rosa, bench, sets="3")
    row = near.blocks.get().sessions.first().exercises.get()
    row.scheme = scheme_json(load_kind="effort", load_value="", sets="3", reps="8", rir="1")
    row.save()
    assert {"unspotted", "breath_hold"} <= set(flags_of(near, rosa))


def test_a_layoff_counts_from_the_last_session(rosa, bench):
    log_weeks(rosa, bench, 6)
    TrainingFacts.objects.all().delete()
    assert "layoff" not in flags_of(planned(rosa, bench, sets="4"), rosa)
    services.refresh_client(rosa.pk)
    facts = value_of(rosa) | {"last_on": (TUESDAY - timedelta(days=20)).isoformat()}
    TrainingFacts.objects.filter(client=rosa).update(value=facts)
    found = flags_of(planned(rosa, bench, sets="4"), rosa)
    assert found["layoff"].sentence.startswith("22 days without a session before Push, Thursday")


def test_facts_are_read_with_one_query_for_any_number(rosa, bench, desk):
    for n in range(3):
        log_weeks(ClientFactory(coach=desk, name=f"Client {n}"), bench, 1)
    everybody = list(Client.objects.values_list("pk", flat=True))
    with CaptureQueriesContext(connection) as queries:
        assert len(facts_of(everybody)) == 3
    assert len(queries) == 1


def test_an_unknown_start_leaves_dates_out(rosa):
    made = context_for(rosa, start_on=None, today=TUESDAY, facts={}, sessions=[], estimates=[])
    assert made == engine.Context(minutes=15.0)


def test_a_remedy_that_orders_or_removes_is_applied_and_undone(rosa, bench, desk, as_coach):
    program = planned(rosa, bench, weeks=1, sets="4")
    session = program.blocks.get().sessions.get()
    drops = scheme_json(kind="drop_set", load_kind="effort", load_value="", sets="1", reps="8", rir="0",
                        ladder="-20% x failure")  # fmt: skip
    first = PlannedExerciseFactory(session=session, exercise=bench, scheme=drops, position=0)
    flag = flags_of(program, rosa)["techniques_not_last"]
    assert flag.remedies[0].label == "Move Bench press to the end of Push, Thursday"
    as_coach.post(f"/programs/{program.pk}/flags/apply/", {"flag": flag.id, "remedy": "0"})
    order = [row.pk for row in session.exercises.order_by("position", "pk")]
    assert order[-1] == first.pk
    assert "techniques_not_last" not in flags_of(program, rosa)
