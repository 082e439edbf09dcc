"""Several clients beside each other: muscles over the practice, a programme's clients, and what RIR answers say."""

import json
import re
from datetime import date, timedelta
from statistics import NormalDist

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from programs.logs.across.effort import effort_of
from programs.logs.across.muscles import muscles_page
from programs.logs.across.programme import change_of, program_clients
from programs.logs.mapping import done_otherwise
from programs.logs.models import MuscleWeek
from programs.models import StrengthEstimate
from programs.services import assign_program, record_test
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, exercise_body, logged, step_at, straight_sets
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)  # fmt: skip

MONDAY = date(2026, 11, 23)
LAST = MONDAY - timedelta(weeks=1)
MUSCLES = reverse("logs:muscle_list")
pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


def week_of(client, sets, low=None, high=None, muscle="chest", monday=LAST):
    counts = {"sets": sets, "sets_low": sets if low is None else low, "sets_high": sets if high is None else high}
    MuscleWeek.objects.create(
        client=client, monday=monday, muscle=muscle, **{name: round(1000 * n) for name, n in counts.items()}
    )  # fmt: skip


def line(desk, code="chest", **asked):
    page = muscles_page(desk, today=TUESDAY, muscle=code, **asked)
    return page, next(one for one in page.lines if one.code == code)


def names(standings):
    return [one.client.name for one in standings]


def test_each_client_is_held_against_their_own_band_by_the_count_that_speaks_for_it(desk):
    # Intermediate, size: 6 to 16 for the chest (Pelland 2025, Schoenfeld 2017; upper end common practice).
    for name, counts in {
        "Under": (4, 4, 5.9), "High count inside": (4, 4, 6), "In": (10, 9, 11), "Low count inside": (17, 16, 19),
        "Over": (18, 16.5, 20),
    }.items():  # fmt: skip
        week_of(ClientFactory(coach=desk, name=name), *counts)
    rehab = ClientFactory(coach=desk, name="Rehab", goal="rehab")
    week_of(rehab, 3)
    ClientFactory(coach=desk, name="Nothing logged")
    page, chest = line(desk)
    assert (names(chest.below), names(chest.above)) == (["Under"], ["Over"])
    assert names(chest.inside) == ["High count inside", "In", "Low count inside"]
    assert (chest.without, page.trained, page.clients) == (1, 6, 7)
    assert "Chest above it for the most (1 of 5)" in page.sentence


def test_the_names_stand_behind_a_muscle_and_lead_to_its_trend(as_coach, desk):
    someone = ClientFactory(coach=desk, name="Amara Tolledo")
    week_of(someone, 3)
    page = as_coach.get(MUSCLES, {"muscle": "chest"}).content.decode()
    assert f'{reverse("logs:client_trends", args=[someone.pk])}?muscle=chest">Amara Tolledo' in page
    assert "Below the band: 1" in page
    assert "Above the band: nobody." in page
    # Another muscle: nothing was done, so whoever trained is below it.
    assert names(line(desk, "calves")[1].below) == ["Amara Tolledo"]


def test_weeks_are_walked_and_a_week_that_is_none_is_the_last_that_is_over(as_coach, desk):
    week_of(ClientFactory(coach=desk), 20)
    this_week = as_coach.get(MUSCLES, {"week": "2026-11-24"}).content.decode()
    assert "Nothing was logged in this week." in this_week
    assert "0 of 1 client trained so far." in this_week
    assert "Nobody" not in this_week
    assert "This week so far" in as_coach.get(MUSCLES).content.decode()
    page, chest = line(desk, week="2026-11-18")
    assert (page.monday, len(chest.above), page.later) == (LAST, 1, MONDAY)
    assert muscles_page(desk, today=TUESDAY, week="2027-01-01").monday == MONDAY
    for odd in ("", "\x00", "2027-01-0", "x" * 5000, "20261118x", "-1"):
        assert muscles_page(desk, today=TUESDAY, week=odd).monday == LAST
        assert as_coach.get(MUSCLES, {"week": odd, "muscle": odd}).status_code == 200


def test_nobody_sees_clients_of_others(desk, as_stranger):
    hers = ClientFactory(coach=MembershipFactory(practice=desk.practice), name="Not mine")
    week_of(hers, 3)
    mine = ClientFactory(coach=desk, name="Mine")
    week_of(mine, 3)
    assert names(line(desk)[1].below) == ["Mine"]
    page = as_stranger.get(MUSCLES, {"muscle": "chest"}).content.decode()
    assert "Mine" not in page


def count_queries(browser, address):
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(address).status_code == 200
    return len(queries)


def test_queries_do_not_grow_with_clients(as_coach, desk, press):
    template = ProgramFactory(coach=desk, name="Base block")
    PlannedExerciseFactory(session=PlannedSessionFactory(program=template), exercise=press)
    pages = (f"{MUSCLES}?muscle=chest", reverse("logs:program_client_list", args=[template.pk]))

    def someone():
        client = ClientFactory(coach=desk)
        week_of(client, 5)
        assign_program(by=desk, program=template, client=client, start_on=MONDAY, today=MONDAY)
        record_test(by=desk, client=client, exercise=press, load=100_000, unit="kg", reps=1, on=MONDAY)

    someone()
    before = [count_queries(as_coach, page) for page in pages]
    for _ in range(12):
        someone()
    assert [count_queries(as_coach, page) for page in pages] == before
    assert max(before) <= 10


@pytest.fixture
def template(desk, press):
    """A template of two sessions a week."""
    made = ProgramFactory(coach=desk, name="Base block")
    for day in (0, 1):
        PlannedExerciseFactory(session=PlannedSessionFactory(program=made, day=day, name=f"Day {day}"), exercise=press)
    return made


def on_it(desk, template, name, **estimate):
    client = ClientFactory(coach=desk, name=name)
    program = assign_program(by=desk, program=template, client=client, start_on=MONDAY, today=MONDAY)
    if estimate:
        exercise = template.blocks.get().sessions.first().exercises.get().exercise
        record_test(by=desk, client=client, exercise=exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
        StrengthEstimate.objects.filter(client=client).update(**estimate)
    return client, program


def test_clients_on_one_programme_stand_beside_each_other(as_coach, desk, template, press):
    ann, program = on_it(desk, template, "Ann", trend_per_week=0.01, p_rising=0.99, count=12)
    on_it(desk, template, "Bob", trend_per_week=-0.002, p_rising=0.4, count=5)
    on_it(desk, template, "Cem")
    session = program.blocks.get().sessions.order_by("day").first()
    sheet = IssuedSheetFactory(client=ann, planned_session=session, for_on=MONDAY, exercises=[exercise_body(press)])
    logged(sheet)
    StrengthEstimate.objects.filter(client=ann).update(trend_per_week=0.01, p_rising=0.99, count=12)
    page = program_clients(desk, template, today=TUESDAY)
    rows = {row.client.name: row for row in page.rows}
    assert list(rows) == ["Ann", "Bob", "Cem"]
    # Monday is over, Tuesday is not: one session was due, and Ann did it.
    assert [(row.done, row.due, row.percent_done) for row in page.rows] == [(1, 1, 100), (0, 1, 0), (0, 1, 0)]
    assert [row.change and row.change.words for row in page.rows] == ["rises", "inside the doubt", None]
    assert (
        "Bench press rises for 1, its change is inside the doubt for 1 of 2 clients with an estimate." in page.sentence
    )
    text = as_coach.get(reverse("logs:program_client_list", args=[template.pk])).content.decode()
    figure = json.loads(re.search(r'<script id="chart-change" type="application/json">(.*?)</script>', text, re.S)[1])
    (points,) = figure["data"]
    assert (points["y"], points["x"]) == (["Ann", "Bob"], [1.0, -0.2])
    assert (rows["Ann"].answers, rows["Ann"].reports) == (0, 3)


def test_the_interval_is_that_of_the_trend_and_its_chance():
    one = change_of(StrengthEstimate(trend_per_week=0.02, p_rising=NormalDist().cdf(2.0), count=9, sd_log=0.1))
    # A chance of 97.7 % is two standard deviations above nothing: sd 1 % a week, 90 % interval +- 1.645 of it.
    assert (one.percent, one.low, one.high) == pytest.approx((2.0, 2 - 1.6449, 2 + 1.6449), abs=1e-3)
    sure = change_of(StrengthEstimate(trend_per_week=0.02, p_rising=1.0, count=9, sd_log=0.1))
    assert 0 < sure.low < 2 < sure.high
    for trend, chance in ((0.0, 0.5), (0.01, 0.5), (0.01, 0.4)):
        assert change_of(StrengthEstimate(trend_per_week=trend, p_rising=chance, count=1, sd_log=0.1)) is None


def test_a_template_without_clients_and_choices_typed_by_hand(as_coach, desk, template):
    address = reverse("logs:program_client_list", args=[template.pk])
    assert "Nobody trains by a copy of it yet." in as_coach.get(address).content.decode()
    on_it(desk, template, "Ann")
    for odd in ("0", "\x00", "²", "9" * 40, "x" * 3000):
        assert as_coach.get(address, {"exercise": odd}).status_code == 200


def typed(client, press, on, rir, reps=8, load=70_000, sets=3, **fields):
    sheet = IssuedSheetFactory(
        client=client, for_on=on, exercises=[exercise_body(press, steps=straight_sets(sets, **fields))]
    )
    steps = [done_otherwise(step_at(sheet, f"1-{n}-1-b"), load=load, reps=reps, rir=rir) for n in range(1, sets + 1)]
    return logged(sheet, steps=steps)


def test_without_sets_to_failure_the_answers_cannot_be_judged(as_coach, desk, press):
    client = ClientFactory(coach=desk)
    for n in range(3):
        typed(client, press, MONDAY - timedelta(days=7 * n), 2.0 + n)
    effort = effort_of(client, today=TUESDAY)
    assert (effort.bias, effort.failures, effort.sets) == (None, 0, 9)
    assert effort.answers == ((2.0, 3), (3.0, 3), (4.0, 3))
    assert "cannot be told" in effort.sentence
    page = as_coach.get(reverse("logs:client_effort", args=[client.pk])).content.decode()
    assert page.count("cannot be told") >= 1
    (only,) = effort.lines
    assert only.sets == 9
    assert only.typed == pytest.approx(3.0)
    assert only.low < only.difference < only.high


def test_sets_to_failure_tell_how_far_off_the_answers_are(desk, press):
    """Somebody who says 2 where 5 are left: at 70 kg they stop at 8 and reach 13 when they go on to failure."""
    client = ClientFactory(coach=desk)
    for n in range(8):
        on = MONDAY - timedelta(days=4 * n)
        typed(client, press, on, 2.0, reps=8)
        typed(client, press, on + timedelta(days=1), 0.0, reps=13, sets=1, to_failure=True, reps_low=0, reps_high=0)
    effort = effort_of(client, today=TUESDAY)
    assert effort.failures == 8
    assert effort.bias[0] > 1
    assert "more is left than typed" in effort.sentence
    assert "to failure" in effort.sentence


def test_alike_answers_are_said_to_say_nothing(desk, press):
    client = ClientFactory(coach=desk)
    for n in range(6):
        typed(client, press, MONDAY - timedelta(days=3 * n), 2.0, reps=6 + n)
    assert "were all 2 over varied work" in effort_of(client, today=TUESDAY).sentence


def test_few_sets_have_no_interval_and_none_a_clear_page(as_coach, desk, press):
    client = ClientFactory(coach=desk)
    address = reverse("logs:client_effort", args=[client.pk])
    assert "No RIR was typed" in as_coach.get(address).content.decode()
    typed(client, press, MONDAY, 2.0, sets=2)
    (only,) = effort_of(client, today=TUESDAY).lines
    assert (only.sets, only.low, only.high) == (2, None, None)
    assert as_coach.get(address).status_code == 200
    before = count_queries(as_coach, address)
    for n in range(10):
        typed(client, ExerciseFactory(), MONDAY - timedelta(days=n), 2.0)
    assert count_queries(as_coach, address) == before <= 10
