"""The charts of the trends page: load by rating, attendance, minutes, volume, fatigue, symmetry, and what is odd."""

import csv
import json
import re
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from programs.logs.mapping import done_otherwise
from programs.logs.services import skip_session
from programs.logs.trends.page import Asked, trends_page
from programs.logs.trends.window import window_of
from programs.models import Absence
from programs.services import record_test
from tests.factories.calendar import AbsenceFactory, ClientDateFactory
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, exercise_body, logged, step_at, straight_sets
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)  # fmt: skip

MONDAY = date(2026, 11, 23)
PUBLISHED = Path(__file__).parent.parent / "engine" / "data" / "session_load_formulas.csv"
pytestmark = pytest.mark.django_db


@pytest.fixture
def lifter(desk):
    return ClientFactory(coach=desk, name="Amara Tolledo")


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


def page_of(browser, client, **asked):
    return browser.get(reverse("logs:client_trends", args=[client.pk]), asked).content.decode()


def figure(page, code):
    return json.loads(re.search(rf'<script id="chart-{code}" type="application/json">(.*?)</script>', page, re.S)[1])


def table(page, code):
    body = re.search(rf'id="cap-{code}".*?<tbody>(.*?)</tbody>', page, re.S)[1]
    return [
        [re.sub("<.*?>", "", cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S)]
        for row in body.split("</tr>") if "<tr" in row
    ]  # fmt: skip


def number(text):
    return float(text.replace(",", "")) if text else None


def visit(client, on, press, *, rating=None, minutes=None, **fields):
    sheet = IssuedSheetFactory(client=client, for_on=on, exercises=[exercise_body(press)])
    return logged(sheet, rating=rating, minutes=minutes, **fields)


def test_load_monotony_and_strain_are_those_of_the_worked_week(as_coach, lifter, press):
    # Daily loads and sums computed from the formulas of Foster 1998 and 2001 (tests/engine/data, row by row).
    known = {row["item"]: row["formula_or_value"] for row in csv.DictReader(PUBLISHED.open())}
    loads = [int(one) for one in known["own worked example daily loads"].split("|")]
    for n, load in enumerate(loads):
        if load:
            visit(lifter, MONDAY - timedelta(days=7 - n), press, rating=load // 60 if load > 300 else 5, minutes=60)
    week = next(w for w in trends_page(lifter, today=TUESDAY).weeks if w.monday == MONDAY - timedelta(weeks=1))
    assert week.load == float(known["own example weekly load"])
    assert week.monotony == pytest.approx(float(known["own example monotony (sample SD)"]), abs=1e-4)
    assert week.strain == pytest.approx(float(known["own example strain (sample SD)"]), abs=1e-2)
    row = table(page_of(as_coach, lifter), "load")[1]
    assert row[1:5] == ["4", "1,740", "1.00", "1,741"]


@pytest.mark.parametrize(
    ("ratings", "why"),
    [((7, None), "not every session was rated and timed"), ((), "no session")],
)
def test_monotony_is_not_made_up(lifter, press, ratings, why):
    for n, rating in enumerate(ratings):
        visit(lifter, MONDAY - timedelta(days=7 - n), press, rating=rating, minutes=60)
    week = trends_page(lifter, today=TUESDAY).weeks[-2]
    assert (week.monotony, week.strain, week.why) == (None, None, why)


def test_a_week_of_equal_days_and_one_that_is_not_over_have_no_monotony(lifter, press):
    for n in range(8):
        visit(lifter, MONDAY - timedelta(days=7 - n), press, rating=5, minutes=60)
    *_, before, now = trends_page(lifter, today=TUESDAY).weeks
    assert before.why.startswith("not defined")
    assert (before.load, now.load, now.why) == (7 * 300, 300, "the week is not over")


@pytest.fixture
def programme(lifter, desk, press):
    """Three sessions a week from three weeks ago on."""
    made = ProgramFactory(client=lifter, coach=desk, start_on=MONDAY - timedelta(weeks=3), weeks=6)
    sessions = [
        PlannedSessionFactory(program=made, week_no=week, day=day, name=f"Day {day}")
        for week in range(1, 7) for day in (0, 2, 4)
    ]  # fmt: skip
    for one in sessions:
        PlannedExerciseFactory(session=one, exercise=press)
    record_test(by=desk, client=lifter, exercise=press, load=100_000, unit="kg", reps=1, on=MONDAY - timedelta(weeks=4))
    return sessions


def done(client, session, press, week, day, **fields):
    on = MONDAY + timedelta(weeks=week - 4, days=day)
    sheet = IssuedSheetFactory(client=client, for_on=on, planned_session=session, exercises=[exercise_body(press)])
    return logged(sheet, **fields)


def test_a_session_done_before_its_programme_begins_counts_on_its_day(as_coach, lifter, press, programme):
    programme[0].block.program.start_on = MONDAY + timedelta(weeks=1)
    programme[0].block.program.save()
    done(lifter, programme[0], press, 4, 0)
    trend = trends_page(lifter, today=TUESDAY).fatigue
    on = {one.on: one for one in trend.days}
    assert on[MONDAY].sessions.startswith("Day 0 (")
    assert on[MONDAY].units == 0 < on[TUESDAY].units
    assert on[MONDAY + timedelta(weeks=1, days=2)].sessions.startswith("Day 2 (")
    assert table(page_of(as_coach, lifter), "fatigue")


def test_attendance_tells_done_skipped_missed_and_besides_apart(as_coach, lifter, press, programme):
    done(lifter, programme[0], press, 1, 0)
    sheet = IssuedSheetFactory(client=lifter, for_on=MONDAY - timedelta(days=19), planned_session=programme[1])
    skip_session(by=lifter.coach, sheet=sheet, key=sheet.uid, skipped_why="ill", on=sheet.for_on, now=NOON)
    visit(lifter, MONDAY - timedelta(days=18), press)
    page = page_of(as_coach, lifter)
    # Planned, done, skipped, missed, besides the plan: the Friday went by without a word.
    assert table(page, "attendance")[3][1:6] == ["3", "1", "1", "1", "1"]
    # Monday of this week was yesterday; Wednesday and Friday are not due.
    assert table(page, "attendance")[0][1:6] == ["3", "0", "0", "1", "0"]
    assert "1 of 10 planned sessions that were due was done (10 %); 1 was skipped" in page
    drawn = figure(page, "attendance")["data"]
    assert drawn[0]["y"][-4] == 2
    assert drawn[1]["y"] == [3, 3, 3, 3]


def test_minutes_are_those_of_the_sheet_and_of_the_log(as_coach, lifter, press):
    for n, minutes in enumerate((60, 75, None)):
        visit(lifter, MONDAY - timedelta(days=7 - n), press, minutes=minutes)
    page = page_of(as_coach, lifter)
    # The sheets plan 62 minutes; the third visit was not timed.
    assert table(page, "minutes")[1][1:] == ["2", "62", "68"]
    assert "The 2 sessions timed took 68 min on average where 62 min were planned (109 %)." in page


def test_volume_in_kg_and_in_lb_is_added_up_exactly(as_coach, lifter, press):
    visit(lifter, MONDAY, press)
    steps = straight_sets(1, unit="lb", load=100_000, reps_low=10)
    sheet = IssuedSheetFactory(client=lifter, for_on=TUESDAY, exercises=[exercise_body(press, steps=steps)])
    logged(sheet, steps=[done_otherwise(step_at(sheet, "1-1-1-b"), load=100_000, reps=10, rir=2)])
    page = page_of(as_coach, lifter)
    # 3 x 8 x 70 kg, and 10 x 100 lb of 0.45359237 kg each (NIST SP 811).
    assert number(table(page, "volume")[0][-1]) == round(3 * 8 * 70 + 10 * 100 * 0.45359237)
    assert "logged in kg and in lb" in page
    lifter.unit = "lb"
    lifter.save()
    page = page_of(as_coach, lifter)
    assert number(table(page, "volume")[0][-1]) == round(3 * 8 * 70 / 0.45359237 + 1000)
    assert "estimated 1RM, lb" in json.dumps(figure(page, "strength"))


def test_fatigue_counts_what_was_done_and_what_is_planned_but_not_what_was_missed(as_coach, lifter, press, programme):
    done(lifter, programme[6], press, 3, 1)
    trend = trends_page(lifter, today=TUESDAY).fatigue
    days = {one.on: one for one in trend.days}
    # Planned for Monday, done on Tuesday; Wednesday and Friday of that week and this Monday were missed.
    assert [on for on, one in days.items() if one.sessions and on < TUESDAY] == [TUESDAY - timedelta(weeks=1)]
    assert [on for on, one in days.items() if one.sessions and on >= TUESDAY] == [
        MONDAY + timedelta(weeks=w, days=d) for w, d in ((0, 2), (0, 4), (1, 0), (1, 2), (1, 4), (2, 0))
    ]
    before, after, later = (days[TUESDAY + timedelta(days=n)].units for n in (-8, -6, -5))
    assert before == 0 < later < after
    page = page_of(as_coach, lifter)
    assert [number(row[1]) for row in table(page, "fatigue")] == [round(one.units, 1) for one in trend.days]
    assert "it is no measurement" in page


def test_sides_are_drawn_with_their_doubt(as_coach, desk, lifter):
    curl = ExerciseFactory(name="Leg curl", limbs="one")
    for side, load in (("l", 50_000), ("r", 40_000)):
        record_test(by=desk, client=lifter, exercise=curl, load=load, unit="kg", reps=1, on=MONDAY, side=side)
    visit(lifter, MONDAY, ExerciseFactory())
    page = page_of(as_coach, lifter)
    (row,), (points,) = table(page, "symmetry"), figure(page, "symmetry")["data"]
    assert (row[0], row[3], row[-1]) == ("Leg curl", "80", "right")
    assert points["x"] == [80]
    assert points["x"][0] - points["error_x"]["arrayminus"][0] == int(row[4])
    assert "1 exercise" in page or "The one exercise with both sides known stands below 90 %" in page


def test_days_away_and_tests_stand_on_the_charts_and_in_their_tables(as_coach, lifter, press):
    visit(lifter, MONDAY - timedelta(weeks=2), press)
    first = MONDAY - timedelta(days=3)
    AbsenceFactory(client=lifter, first_on=first, last_on=MONDAY, kind=Absence.Kind.ILLNESS, note="a cold")
    ClientDateFactory(client=lifter, on=TUESDAY, exercise=press)
    page = page_of(as_coach, lifter)
    layout = figure(page, "sets")["layout"]
    away = next(one for one in layout["shapes"] if one["name"] == "away")
    assert (away["x0"], away["x1"]) == ("2026-11-20", "2026-11-24")
    assert {"illness", "test"} <= {one["text"] for one in layout["annotations"]}
    words = [row[-1] for row in table(page, "sets")][:3]
    assert words == [
        "illness Fri 20 Nov to Mon 23 Nov (a cold); Test: Bench press, Tue 24 Nov",
        "illness Fri 20 Nov to Mon 23 Nov (a cold)", "",
    ]  # fmt: skip
    assert '<th scope="col">Calendar</th>' in page


def test_a_session_of_a_day_to_come_is_told_and_left_out(as_coach, lifter, press):
    visit(lifter, MONDAY, press, rating=6, minutes=60)
    # As a clock that was set back leaves it: when it was logged, the day had come.
    visit(lifter, TUESDAY + timedelta(days=9), press, rating=6, minutes=60, now=NOON + timedelta(days=9))
    page = page_of(as_coach, lifter)
    assert "1 session is logged with a day still to come" in page
    assert "Thu 3 Dec 2026" in page
    assert table(page, "load")[0][1:3] == ["1", "360"]


def test_a_muscle_never_trained_has_a_clear_page(as_coach, lifter, press):
    visit(lifter, MONDAY, press)
    page = page_of(as_coach, lifter, muscle="calves")
    assert "No sets for calves were done in these 12 weeks." in page
    assert figure(page, "sets")["data"][0]["y"] == [0] * 12


def test_one_log_makes_every_chart_that_one_log_can(as_coach, lifter, press):
    visit(lifter, MONDAY, press)
    page = page_of(as_coach, lifter)
    assert re.findall(r'data-chart="chart-(\w+)"', page) == [
        "sets", "strength", "volume", "load", "attendance", "minutes"
    ]  # fmt: skip
    assert "No session was planned for these weeks; 1 more was done besides the plan." in page


def test_the_points_of_strength_lead_to_their_sessions(as_coach, lifter, press):
    log = visit(lifter, MONDAY, press)
    page = page_of(as_coach, lifter)
    assert f'href="{reverse("logs:session_log_detail", args=[log.pk])}"' in page.split('id="cap-strength"')[1]


@pytest.mark.parametrize("odd", ["", "0", "13", "-1", "1e9", "\x00", "x" * 5000, "²"])
def test_a_span_typed_by_hand_is_twelve_weeks(odd):
    assert window_of(TUESDAY, odd, odd).mondays == window_of(TUESDAY).mondays
    assert window_of(TUESDAY).mondays[-1] == MONDAY
    assert len(window_of(TUESDAY).mondays) == 12


def test_windows_join_without_a_gap_and_end_today():
    now = window_of(TUESDAY, "26")
    before = window_of(TUESDAY, "26", now.earlier.isoformat())
    assert before.mondays[-1] + timedelta(weeks=1) == now.first
    assert window_of(TUESDAY, "26", before.later.isoformat()) == now
    assert (now.later, window_of(TUESDAY, "12", "2999-01-01").is_now) == (None, True)
    assert window_of(TUESDAY, "12", "0001-01-01").is_now


def test_ten_years_of_logs_are_looked_at_in_windows(as_coach, lifter, press):
    for year in range(2017, 2027):
        visit(lifter, date(year, 3, 8), press, rating=5, minutes=50)
    page = page_of(as_coach, lifter, weeks="156", until="2019-12-30")
    assert len(table(page, "sets")) == 156
    assert [n for n in figure(page, "sets")["data"][0]["y"] if n] == [3, 3, 3]
    # An estimate rests on a year of evidence; what is older stands in earlier windows.
    assert [row[0] for row in table(page, "strength")] == ["Fri 8 Mar 2019"]
    assert not trends_page(lifter, today=TUESDAY, asked=Asked(until="2019-12-30")).fatigue


def test_ten_queries_at_most_however_much_was_logged(as_coach, lifter, press, programme):
    def count():
        with CaptureQueriesContext(connection) as queries:
            page_of(as_coach, lifter, weeks="156")
        return len(queries)

    done(lifter, programme[0], press, 1, 0)
    before = count()
    for n in range(25):
        visit(lifter, MONDAY - timedelta(days=n), ExerciseFactory(), rating=5, minutes=50)
        AbsenceFactory(client=lifter, first_on=MONDAY - timedelta(days=n), last_on=MONDAY - timedelta(days=n))
    assert count() == before <= 10
