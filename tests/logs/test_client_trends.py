"""Trends: figures and the tables beneath them hold the same numbers; only this page relaxes its styles."""

import json
import re
from datetime import date, timedelta

import pytest
from django.urls import reverse

from programs.logs import services
from programs.logs.mapping import done_otherwise
from programs.logs.trends.muscle_charts import weekly_sets_sentence
from programs.logs.trends.page import Asked, trends_page
from programs.logs.trends.strength_chart import strength_sentence
from programs.models import StrengthEstimate
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, exercise_body, logged, step_at
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)  # fmt: skip

MONDAY = date(2026, 11, 23)
pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def lifter(desk, press):
    """Six weeks of pressing, one session a week, stronger each time; a programme of two weeks from this Monday."""
    client = ClientFactory(coach=desk, name="Amara Tolledo")
    for n in range(6):
        sheet = IssuedSheetFactory(
            client=client, for_on=TUESDAY - timedelta(weeks=5 - n), exercises=[exercise_body(press)]
        )
        steps = [
            done_otherwise(step_at(sheet, f"1-{s}-1-b"), load=70_000 + 2_500 * n, reps=8, rir=2.0)
            for s in range(1, 2 + n % 3)
        ]
        logged(sheet, steps=steps)
    made = ProgramFactory(client=client, coach=desk, start_on=MONDAY, weeks=2)
    PlannedExerciseFactory(session=PlannedSessionFactory(program=made), exercise=press)
    return client


def page_url(client):
    return reverse("logs:client_trends", args=[client.pk])


def figures(page):
    found = re.findall(r'<script id="(chart-\w+)" type="application/json">(.*?)</script>', page, re.S)
    return {name: json.loads(text) for name, text in found}


def table(page, caption):
    body = re.search(rf'id="{caption}".*?<tbody>(.*?)</tbody>', page, re.S).group(1)
    return [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S) for row in body.split("</tr>") if "<tr" in row]


def test_the_sets_figure_has_the_numbers_of_its_table(as_coach, lifter):
    page = as_coach.get(page_url(lifter)).content.decode()
    figure, rows = figures(page)["chart-sets"], table(page, "cap-sets")
    done, planned, low, high = figure["data"]
    assert len(rows) == 12
    rows = rows[::-1]
    assert [float(row[2]) for row in rows] == done["y"]
    # One, two and three sets in turn, counted directly for the chest.
    assert done["y"][-6:] == [1, 2, 3, 1, 2, 3]
    assert done["x"][-1] == "2026-11-23"
    assert [float(row[1]) for row in rows if row[1]] == planned["y"] == [3]
    # Intermediate, size: 6 to 16 (Pelland 2025, Schoenfeld 2017; upper end common practice).
    assert (set(low["y"]), set(high["y"])) == ({6}, {16})


def test_the_strength_figure_has_the_numbers_of_its_table(as_coach, lifter):
    page = as_coach.get(page_url(lifter)).content.decode()
    (line,), rows = figures(page)["chart-strength"]["data"], table(page, "cap-strength")
    assert len(rows) == 6
    for row, mean, up, down in zip(
        rows[::-1], line["y"], line["error_y"]["array"], line["error_y"]["arrayminus"], strict=True
    ):
        assert float(row[1]) == mean
        assert float(row[2]) == pytest.approx(mean - down, abs=0.011)
        assert float(row[3]) == pytest.approx(mean + up, abs=0.011)


def test_the_last_point_is_the_estimate_of_today(lifter):
    last = trends_page(lifter, today=TUESDAY).strength.points[-1]
    kept = StrengthEstimate.objects.get(client=lifter)
    assert (last.mean, last.low, last.high) == (kept.mean_kg, kept.low_kg, kept.high_kg)


def test_each_point_knows_only_what_was_known_then(lifter):
    points = trends_page(lifter, today=TUESDAY).strength.points
    services.undo_session_log(by=lifter.coach, session_log=lifter.session_logs.order_by("-done_on").first())
    assert trends_page(lifter, today=TUESDAY).strength.points == points[:-1]


def test_the_weeks_are_marked_on_mondays_up_to_the_latest(as_coach, lifter):
    figure = figures(as_coach.get(page_url(lifter)).content.decode())["chart-sets"]
    marks = figure["layout"]["xaxis"]["tickvals"]
    assert marks[0] == figure["data"][0]["x"][-1]
    assert {date.fromisoformat(mark).weekday() for mark in marks} == {0}


def test_muscle_and_exercise_are_chosen_by_address(as_coach, lifter):
    page = as_coach.get(page_url(lifter), {"muscle": "triceps"}).content.decode()
    assert "Weekly sets, triceps" in page
    # Indirect sets count half.
    assert figures(page)["chart-sets"]["data"][0]["y"][-1] == 1.5
    for odd in ("nothing", "\x00", "x" * 3000):
        assert as_coach.get(page_url(lifter), {"muscle": odd, "exercise": odd}).status_code == 200


def test_sentences_say_what_the_figures_show(as_coach, lifter):
    page = as_coach.get(page_url(lifter)).content.decode()
    assert "had 2.0 fractional sets a week over the 6 weeks with training; the band is 6 to 16, with 6 of them" in page
    assert "Bench press is estimated at" in page
    assert page.count('data-chart="') == 7


def test_the_exercise_shown_first_trains_the_muscle_shown(desk, lifter, press):
    """Crunches have the more sets by far; the page is about the chest until somebody asks for another exercise."""
    crunch = ExerciseFactory(name="Cable crunch", muscles={"abs": 1000})
    for exercise, count in ((press, 18), (crunch, 60)):
        StrengthEstimate.objects.update_or_create(
            client=lifter, exercise=exercise,
            defaults={"mean_kg": 80, "low_kg": 75, "high_kg": 85, "sd_log": 0.03, "last_on": TUESDAY,
                      "trend_per_week": 0.0, "p_rising": 0.5, "count": count},
        )  # fmt: skip
    page = trends_page(lifter, today=TUESDAY)
    assert (page.muscle.code, page.strength.name) == ("chest", "Bench press")
    other = trends_page(lifter, today=TUESDAY, asked=Asked(muscle="abs"))
    assert other.strength.name == "Cable crunch"
    asked = trends_page(lifter, today=TUESDAY, asked=Asked(exercise=other.strength.key))
    assert (asked.muscle.code, asked.strength.name) == ("chest", "Cable crunch")
    unknown = trends_page(lifter, today=TUESDAY, asked=Asked(muscle="calves"))
    assert unknown.strength.name == "Cable crunch"  # nothing trains them: the one with the most evidence


def test_only_the_styles_are_relaxed_and_only_here(as_coach, lifter):
    answer = as_coach.get(page_url(lifter))
    rules = dict(part.strip().split(" ", 1) for part in answer["Content-Security-Policy"].split(";"))
    assert rules["script-src"] == "'self'"
    assert rules["style-src-attr"] == "'unsafe-inline'"
    assert "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='" in rules["style-src"]
    assert "'unsafe-inline'" not in rules["style-src"]
    assert set(rules["img-src"].split()) == {"'self'", "data:", "blob:"}
    other = as_coach.get(reverse("logs:client_sessions", args=[lifter.pk]))["Content-Security-Policy"]
    assert "unsafe-inline" not in other
    assert "blob:" not in other


def test_figures_carry_no_colours_and_no_template(as_coach, lifter):
    found = figures(as_coach.get(page_url(lifter)).content.decode())
    text = json.dumps(found)
    assert len(found) == 7
    assert "#" not in text
    assert all("template" not in figure["layout"] for figure in found.values())
    assert len(text) < 24_000


def test_as_a_panel_it_has_the_numbers_without_charts(as_coach, lifter):
    answer = as_coach.get(page_url(lifter), headers={"HX-Request": "true"})
    page = answer.content.decode()
    assert page.lstrip().startswith('<div id="client-trends">')
    assert "<script" not in page
    assert "Chest" in page
    assert f'href="{page_url(lifter)}"' in page


def test_without_logs_it_says_what_belongs_there(as_coach, desk):
    client = ClientFactory(coach=desk)
    assert "Once sessions are logged" in as_coach.get(page_url(client)).content.decode()
    part = as_coach.get(page_url(client), headers={"HX-Request": "true"}).content.decode()
    assert "Once sessions are logged" in part


def test_a_rehab_client_has_no_band(as_coach, lifter):
    lifter.goal = "rehab"
    lifter.save()
    page = as_coach.get(page_url(lifter)).content.decode()
    assert "its band is the coach&#x27;s to set" in page
    assert [trace["name"] for trace in figures(page)["chart-sets"]["data"]] == ["done", "planned"]


def test_who_may(as_assistant, as_stranger, anonymous, lifter):
    assert as_assistant.get(page_url(lifter)).status_code == 200
    assert as_stranger.get(page_url(lifter)).status_code == 404
    assert anonymous.get(page_url(lifter)).status_code == 302
    assert as_assistant.post(page_url(lifter)).status_code in (403, 405)


def test_the_number_of_queries_does_not_grow_with_logs(as_coach, lifter, press):
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    def count():
        with CaptureQueriesContext(connection) as queries:
            as_coach.get(page_url(lifter))
        return len(queries)

    before = count()
    for n in range(25):
        logged(IssuedSheetFactory(client=lifter, for_on=TUESDAY - timedelta(days=n), exercises=[exercise_body(press)]))
    assert count() == before


def test_a_trend_without_points_has_a_sentence():
    from programs.logs.selectors.trends import MuscleTrend, StrengthTrend, WeekPoint

    assert "Nothing that was logged" in strength_sentence(StrengthTrend("1-b-", "Bench press", ()))
    nothing = MuscleTrend("chest", "Chest", (6, 16), (WeekPoint(MONDAY, 0, 0, 0, None),))
    assert weekly_sets_sentence(nothing) == "No sets for chest were done in these 1 weeks."
