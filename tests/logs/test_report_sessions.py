"""The sessions of a block's report in words: what was done besides the plan, and why things were left out."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse
from django.utils.html import escape

from programs.logs import services
from programs.logs.mapping import done_otherwise
from programs.logs.models import Departure
from programs.logs.report_pdf import report_values
from programs.logs.selectors import block_report
from programs.models import Exercise
from tests.factories.logs import NOON, TUESDAY, exercise_body, logged
from tests.factories.programs import ExerciseFactory
from tests.factories.reports import START, four_weeks, sheet_for, sheet_step, train

pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def block(desk, press):
    return four_weeks(desk, press)


def report(block):
    return block_report(block, (1, block.weeks), today=TUESDAY)


def page(browser, block):
    return browser.get(reverse("logs:block_report", args=[block.pk])).content.decode()


def test_sessions_besides_the_plan_are_told_by_their_names(as_coach, block, press):
    client, by = block.program.client, block.program.coach
    train(block, 1, press)

    def besides(day, name):
        on = START + timedelta(days=day)
        services.open_session_log(by=by, client=client, key=uuid4(), done_on=on, now=NOON, name=name)

    besides(2, "Hotel gym")
    besides(3, "")
    said = "Besides the plan</dt><dd>Hotel gym, Wed 28 Oct; Session, Thu 29 Oct.</dd>"
    assert said in page(as_coach, block)
    for day in (4, 5, 9):
        besides(day, "Team training")
    assert report(block).sessions.besides_words == "Team training 3 x, Hotel gym 1 x, Session 1 x"


def left_out(block, press, week, *departures):
    """A session of a sheet with a row besides the press, of which only the press was done."""
    row = Exercise.objects.filter(name="Cable row").first() or ExerciseFactory(name="Cable row")
    sheet = sheet_for(block, week, press)
    sheet.body["exercises"].append({**exercise_body(row), "position": 2})
    sheet.save()
    step = done_otherwise(sheet_step(sheet.body, "1-1-1-b"), load=70_000, reps=8, rir=2.0)
    logged(sheet, steps=[step], departures=[Departure(place=place, why=why) for place, why in departures])


def test_what_was_left_out_is_told_with_its_reasons(as_coach, block, press):
    left_out(block, press, 1, ("2", "rack <taken>"), ("", "had to leave"))
    left_out(block, press, 2, ("", "had to leave"))
    left_out(block, press, 3, ("2-2-1-b", "had to leave"))
    left_out(block, press, 4, ("1", "of the press, which was done"))
    said = "Cable row 4 x (had to leave 2 x, rack <taken> 1 x)"
    assert report(block).sessions.left_out_words == [said]
    assert f"<dt>Left out</dt><dd>{escape(said)}.</dd>" in page(as_coach, block)
    assert any(f"Left out: {said}." in part["list"] for part in report_values(report(block))["parts"])


def test_without_a_reason_it_is_told_how_often(block, press):
    left_out(block, press, 1)
    assert report(block).sessions.left_out_words == ["Cable row 1 x"]


def test_many_and_long_reasons_are_cut_short(block, press):
    for week, why in enumerate(("a" * 200, "b", "c", "d"), start=1):
        left_out(block, press, week, ("2", why))
    (said,) = report(block).sessions.left_out_words
    assert said == f"Cable row 4 x ({'a' * 60} 1 x, b 1 x, c 1 x, other reasons)"
