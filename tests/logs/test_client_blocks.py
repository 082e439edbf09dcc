"""Block against block: means over the weeks that are over, attendance, load, lifts, and odd choices."""

import json
import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from programs.logs.mapping import done_otherwise
from programs.logs.selectors.report_strength import report_strengths
from programs.logs.trends.blocks import blocks_page
from programs.models import Block
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, exercise_body, logged, step_at, straight_sets
from tests.factories.programs import ExerciseFactory, PlannedSessionFactory, ProgramFactory

MONDAY = date(2026, 11, 23)
START = MONDAY - timedelta(weeks=4)
pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def lifter(desk, press):
    """Two weeks of two sets at 70 kg, missed once; then three of four sets at 75 kg, of which today's is the last."""
    client = ClientFactory(coach=desk, name="Amara Tolledo")
    program = ProgramFactory(client=client, coach=desk, name="Autumn", start_on=START, weeks=5)
    first = program.blocks.get()
    Block.objects.filter(pk=first.pk).update(name="Base", weeks=2)
    second = Block.objects.create(program=program, name="Build", first_week=3, weeks=3)
    for week in range(1, 6):
        block = first if week < 3 else second
        for day in (0, 1):
            row = PlannedSessionFactory(program=program, block=block, week_no=week, day=day, name=f"Day {day}")
            on = START + timedelta(weeks=week - 1, days=day)
            if (week, day) not in ((2, 1), (5, 1)):
                done(client, press, row, on, 2 if week < 3 else 4, 70_000 if week < 3 else 75_000)
    return client


def done(client, press, row, on, sets, load):
    body = [exercise_body(press, steps=straight_sets(sets))]
    sheet = IssuedSheetFactory(client=client, for_on=on, planned_session=row, exercises=body)
    steps = [done_otherwise(step_at(sheet, f"1-{n}-1-b"), load=load, reps=8, rir=2.0) for n in range(1, sets + 1)]
    logged(sheet, steps=steps, rating=5, minutes=60)


def url(client):
    return reverse("logs:client_blocks", args=[client.pk])


def figure(page, code):
    return json.loads(re.search(rf'<script id="chart-{code}" type="application/json">(.*?)</script>', page, re.S)[1])


def test_each_block_is_counted_over_its_weeks_that_are_over(lifter):
    base, build = blocks_page(lifter, today=TUESDAY).sides
    assert (base.choice.name, build.choice.name) == ("Base", "Build")
    # Base: four sets in week 1, two in week 2. Build: eight in weeks 3 and 4; this week is not over.
    assert (base.counted, base.sets["chest"]) == (2, 3.0)
    assert (build.counted, build.sets["chest"]) == (2, 8.0)
    assert base.sets["triceps"] == 1.5
    # The second day of week 2 was missed; today's session of week 5 is not due.
    assert ((base.done, base.due), (build.done, build.due)) == ((3, 4), (5, 5))
    # Rating 5 x 60 minutes = 300 a session (Foster C et al 2001 JSCR 15:109-115): three sessions over two weeks.
    assert (base.load, base.minutes, base.rating) == (450, 60, 5)


def test_figure_and_table_have_the_same_numbers(as_coach, lifter):
    page = as_coach.get(url(lifter)).content.decode()
    one, other = figure(page, "block-sets")["data"]
    assert (one["name"], other["name"]) == ("Base", "Build")
    assert (dict(zip(one["y"], one["x"], strict=True))["Chest"], other["x"][other["y"].index("Chest")]) == (3.0, 8.0)
    assert re.search(r'Chest</th><td class="num">3.0</td><td class="num">8.0</td><td class="num">\+5.0</td>', page)
    assert "Chest rose most (+5.0 sets a week)" in page
    lifts = figure(page, "block-lifts")["data"]
    assert [trace["name"] for trace in lifts] == ["Base", "Build"]
    assert "this tells no cause" in page


def test_lifts_are_those_of_each_blocks_report(lifter):
    for side in blocks_page(lifter, today=TUESDAY).sides:
        told = report_strengths(lifter, side.choice.first, min(side.choice.last, TUESDAY))
        assert side.lifts == {line.name: line for line in told} != {}


def test_blocks_are_chosen_by_address_and_always_shown_in_order(as_coach, lifter):
    base, build = blocks_page(lifter, today=TUESDAY).sides
    ids = (str(build.choice.pk), str(base.choice.pk))
    turned = blocks_page(lifter, today=TUESDAY, one=ids[0], other=ids[1]).sides
    assert [side.choice.name for side in turned] == ["Base", "Build"]
    twice = blocks_page(lifter, today=TUESDAY, one=ids[1], other=ids[1]).sides
    assert [side.choice.name for side in twice] == ["Base", "Build"]
    for odd in ("", "0", "\x00", "9" * 30, "²", "x" * 5000):
        assert as_coach.get(url(lifter), {"one": odd, "other": odd}).status_code == 200


def test_another_clients_block_is_no_choice(desk, lifter):
    other = ClientFactory(coach=desk)
    foreign = ProgramFactory(client=other, coach=desk, start_on=START, weeks=2).blocks.get()
    sides = blocks_page(lifter, today=TUESDAY, one=str(foreign.pk)).sides
    assert foreign.pk not in [side.choice.pk for side in sides]


def test_one_block_or_none_begun_says_what_is_missing(as_coach, desk, press):
    client = ClientFactory(coach=desk)
    assert "Two blocks that have begun are needed" in as_coach.get(url(client)).content.decode()
    ProgramFactory(client=client, coach=desk, start_on=START, weeks=2)
    ProgramFactory(client=client, coach=desk, start_on=MONDAY + timedelta(weeks=2), weeks=2)
    assert "Two blocks that have begun are needed" in as_coach.get(url(client)).content.decode()


def test_blocks_without_a_log_make_a_clear_page(as_coach, desk):
    client = ClientFactory(coach=desk)
    for weeks in (8, 4):
        ProgramFactory(client=client, coach=desk, start_on=MONDAY - timedelta(weeks=weeks), weeks=4)
    page = as_coach.get(url(client))
    assert page.status_code == 200
    assert "data-chart" not in page.content.decode()


def test_who_may_and_how_many_queries(as_coach, as_assistant, as_stranger, anonymous, lifter, press):
    statuses = [browser.get(url(lifter)).status_code for browser in (as_assistant, as_stranger, anonymous)]
    assert statuses == [200, 404, 302]

    def count():
        with CaptureQueriesContext(connection) as queries:
            as_coach.get(url(lifter))
        return len(queries)

    before = count()
    row = Block.objects.get(name="Base").sessions.first()
    for n in range(10):
        done(lifter, ExerciseFactory(), row, START + timedelta(days=n), 3, 60_000)
    assert count() == before <= 10
