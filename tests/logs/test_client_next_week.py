"""What to change next week: proposals from the log, previewed, applied in one act, undone, set aside, and refused."""

import re
from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.models import MarkedMuscle
from coachdesk.practice.models import Act
from programs.logs.review.page import next_week_page
from programs.models import Absence, ClientDate, FlagDecision, PlannedExercise, PlannedSession, StrengthEstimate
from tests.factories.calendar import AbsenceFactory
from tests.factories.clients import ClientFactory
from tests.factories.logs import TUESDAY, IssuedSheetFactory, exercise_body, logged
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

MONDAY = date(2026, 11, 23)
START = MONDAY - timedelta(weeks=7)
pytestmark = pytest.mark.django_db


@pytest.fixture
def press():
    return ExerciseFactory(name="Bench press")


@pytest.fixture
def squat():
    return ExerciseFactory(name="Front squat", muscles={"quads": 1000})


@pytest.fixture
def lifter(desk):
    return ClientFactory(coach=desk, name="Amara Tolledo")


@pytest.fixture
def sessions(lifter, desk, press, squat):
    """One session of two lifts a week for ten weeks, the first seven of them done: today is in week 8."""
    made = ProgramFactory(client=lifter, coach=desk, start_on=START, weeks=10)
    rows = [PlannedSessionFactory(program=made, week_no=n, day=0, name="Full body") for n in range(1, 11)]
    for n, row in enumerate(rows):
        for position, exercise in enumerate((press, squat), start=1):
            scheme = scheme_json(load_kind="effort", load_value="", reps="8", rir="2")
            PlannedExerciseFactory(session=row, exercise=exercise, position=position, scheme=scheme)
        if n < 8:
            bodies = [exercise_body(press), exercise_body(squat, 2)]
            sheet = IssuedSheetFactory(
                client=lifter, for_on=START + timedelta(weeks=n), planned_session=row, exercises=bodies
            )  # fmt: skip
            logged(sheet)
    StrengthEstimate.objects.filter(client=lifter).update(p_rising=0.9, trend_per_week=0.01, count=20)
    return rows


def url(client):
    return reverse("logs:client_next_week", args=[client.pk])


def page_of(client):
    return next_week_page(client, today=TUESDAY)


def says(client, exercise, chance):
    """What the log says of an exercise: the chance that it rises."""
    trend = -0.004 if chance < 0.5 else 0.01
    StrengthEstimate.objects.filter(client=client, exercise=exercise).update(p_rising=chance, trend_per_week=trend)


def codes(client):
    return [one.flag.code for one in page_of(client).flags]


def preview(browser, client, label):
    """The page with the preview of the way out of that label, and the fields of its button."""
    page = browser.get(url(client)).content.decode()
    query = re.search(rf'href="\?flag=(\w+)&amp;remedy=(\d+)#preview">[^<]*{re.escape(label)}', page)
    page = browser.get(url(client), {"flag": query[1], "remedy": query[2]}).content.decode()
    return page, dict(re.findall(r'name="(flag|remedy|digest)" value="(\w+)"', page))


def apply(browser, client, fields):
    return browser.post(reverse("logs:next_week_apply", args=[client.pk]), fields, follow=True).content.decode()


def sets_of(client, week, exercise):
    rows = PlannedExercise.objects.filter(session__block__program__client=client, session__week_no=week)
    return rows.get(exercise=exercise).scheme


def test_the_calm_client_gets_no_proposal(as_coach, lifter, sessions):
    page = as_coach.get(url(lifter)).content.decode()
    assert codes(lifter) == []
    assert "Nothing that was logged asks for a change." in page
    assert "Apply this" not in page


def test_a_stall_is_proposed_previewed_applied_and_gone_and_one_undo_brings_it_back(as_coach, lifter, sessions, press):
    says(lifter, press, 0.2)
    assert codes(lifter) == ["stalled"]
    page, fields = preview(as_coach, lifter, "Add one set to Bench press")
    assert "Week 9, Mon, Bench press" in page
    assert "Week 10, Mon, Bench press" in page
    assert re.search(r'Chest</th><td class="num">3</td><td class="num">4</td>', page)
    before, was = Act.objects.count(), sets_of(lifter, 9, press)
    assert was["sets"] == 3  # a preview writes nothing
    assert "Applied: Add one set to Bench press" in apply(as_coach, lifter, fields)
    assert (sets_of(lifter, 9, press)["sets"], sets_of(lifter, 10, press)["sets"]) == (4, 4)
    assert (sets_of(lifter, 8, press)["sets"], Act.objects.count()) == (3, before + 1)
    assert codes(lifter) == []
    as_coach.post(reverse("logs:next_week_undo", args=[lifter.pk]))
    assert sets_of(lifter, 9, press) == was
    assert codes(lifter) == ["stalled"]


@pytest.mark.parametrize("label", ["Rest 60 s longer", "Do 3 reps less", "Test Bench press again"])
def test_every_way_out_of_a_stall_is_applied_and_answers_it(as_coach, lifter, sessions, press, label):
    says(lifter, press, 0.2)
    _, fields = preview(as_coach, lifter, label)
    assert "Applied:" in apply(as_coach, lifter, fields)
    assert codes(lifter) == []
    if label.startswith("Test"):
        test = ClientDate.objects.get(client=lifter)
        assert (test.on, test.exercise, test.kind) == (MONDAY + timedelta(days=12), press, "test")


@pytest.mark.parametrize("label", ["Make week 9 a lighter week", "Take one set off every exercise"])
def test_strength_falling_in_several_lifts_asks_for_less(as_coach, lifter, sessions, press, squat, label):
    says(lifter, press, 0.05)
    assert codes(lifter) == ["stalled"]
    says(lifter, squat, 0.02)
    assert codes(lifter) == ["overreached"]
    _, fields = preview(as_coach, lifter, label)
    apply(as_coach, lifter, fields)
    assert [sets_of(lifter, 9, one)["sets"] for one in (press, squat)] == [2, 2]
    assert [sets_of(lifter, 10, one)["sets"] for one in (press, squat)] == [3, 3]
    assert "overreached" not in codes(lifter)


def test_missed_sessions_ask_for_a_plan_that_fits(as_coach, lifter, sessions):
    lifter.session_logs.filter(done_on__gte=MONDAY - timedelta(weeks=2)).delete()
    assert codes(lifter) == ["sessions_missed"]
    page, fields = preview(as_coach, lifter, "Take Full body (Mon) out of week 9: missed in 2 of 3 weeks")
    assert "taken out" in page
    apply(as_coach, lifter, fields)
    assert not PlannedSession.objects.filter(block__program__client=lifter, week_no=9).exists()
    assert codes(lifter) == []


def test_weeks_away_are_no_missed_sessions(lifter, sessions):
    lifter.session_logs.filter(done_on__gte=MONDAY - timedelta(weeks=2)).delete()
    first = MONDAY - timedelta(weeks=2)
    AbsenceFactory(client=lifter, first_on=first, last_on=first + timedelta(days=9), kind=Absence.Kind.ILLNESS)
    assert codes(lifter) == []


def test_a_muscle_to_grow_that_stays_below_its_band_gets_a_set(as_coach, lifter, sessions, press):
    MarkedMuscle.objects.create(client=lifter, muscle="chest", aim="grow")
    # Three sets a week; the band of an intermediate who trains for size begins at 6.
    (shown,) = page_of(lifter).flags
    assert (shown.flag.code, shown.flag.where.muscle) == ("under_done", "chest")
    _, fields = preview(as_coach, lifter, "Add one set to Bench press")
    apply(as_coach, lifter, fields)
    assert sets_of(lifter, 9, press)["sets"] == 4
    assert codes(lifter) == []


def test_it_is_set_aside_with_a_reason_and_stays_so(as_coach, lifter, sessions, press):
    says(lifter, press, 0.2)
    address, (shown,) = reverse("logs:next_week_dismiss", args=[lifter.pk]), page_of(lifter).flags
    answer = as_coach.post(address, {"flag": shown.flag.id, "why": " "}, follow=True)
    assert "Write the reason" in answer.content.decode()
    page = as_coach.post(address, {"flag": shown.flag.id, "why": "Peaking for the meet"}, follow=True).content.decode()
    assert "Peaking for the meet" in page
    assert codes(lifter) == []
    says(lifter, press, 0.21)
    assert codes(lifter) == []
    says(lifter, press, 0.06)
    assert codes(lifter) == ["stalled"]


def test_what_was_not_shown_is_not_applied(as_coach, lifter, sessions, press):
    says(lifter, press, 0.2)
    _, fields = preview(as_coach, lifter, "Rest 60 s longer")
    row = PlannedExercise.objects.filter(session=sessions[9], exercise=press).get()
    row.scheme = row.scheme | {"sets": 5}
    row.save()
    assert "This proposal is gone" in apply(as_coach, lifter, fields)
    assert sets_of(lifter, 9, press)["rest_s"] == sets_of(lifter, 8, press)["rest_s"]


def test_pressed_twice_it_is_applied_once(as_coach, lifter, sessions, press):
    says(lifter, press, 0.2)
    _, fields = preview(as_coach, lifter, "Add one set to Bench press")
    apply(as_coach, lifter, fields)
    assert "This proposal is gone" in apply(as_coach, lifter, fields)
    assert sets_of(lifter, 9, press)["sets"] == 4


@pytest.mark.parametrize(
    "fields",
    [
        {}, {"flag": "\x00"}, {"flag": "0" * 16, "remedy": "0"}, {"flag": "a" * 1_000_000}, {"remedy": "-1"},
        {"remedy": "9" * 40}, {"flag": "0" * 16, "remedy": "1e3", "digest": "0" * 32}, {"flag": ["a", "b"]},
    ],
)  # fmt: skip
def test_what_names_nothing_changes_nothing(as_coach, lifter, sessions, press, fields):
    says(lifter, press, 0.2)
    before = Act.objects.count()
    assert as_coach.get(url(lifter), {k: v for k, v in fields.items() if len(v) < 100}).status_code == 200
    for name in ("next_week_apply", "next_week_dismiss"):
        assert as_coach.post(reverse(f"logs:{name}", args=[lifter.pk]), fields).status_code == 302
    assert (Act.objects.count(), FlagDecision.objects.count()) == (before, 0)


def test_a_reader_looks_and_nobody_else_does(as_assistant, as_stranger, lifter, sessions, press):
    says(lifter, press, 0.2)
    page = as_assistant.get(url(lifter)).content.decode()
    assert "Bench press" in page
    assert "Set aside, with a reason" not in page
    (shown,) = page_of(lifter).flags
    looked = as_assistant.get(url(lifter), {"flag": shown.flag.id, "remedy": "0"}).content.decode()
    assert "What would be written" in looked
    assert "Apply this" not in looked
    for name in ("next_week_apply", "next_week_dismiss", "next_week_undo"):
        address, fields = reverse(f"logs:{name}", args=[lifter.pk]), {"flag": shown.flag.id, "remedy": "0"}
        assert (as_assistant.post(address, fields).status_code, as_stranger.post(address, fields).status_code) == (
            403,
            404,
        )


def test_without_a_programme_or_a_next_week_it_says_so(as_coach, desk, lifter, sessions):
    assert "No programme is running." in as_coach.get(url(ClientFactory(coach=desk))).content.decode()
    PlannedSession.objects.filter(week_no=9).delete()
    assert "plans nothing for next week" in as_coach.get(url(lifter)).content.decode()


def test_ten_queries_at_most_with_a_preview(as_coach, lifter, sessions, press):
    def count():
        says(lifter, press, 0.2)
        _, fields = preview(as_coach, lifter, "Add one set")
        with CaptureQueriesContext(connection) as queries:
            as_coach.get(url(lifter), fields)
        return len(queries)

    before = count()
    for n in range(20):
        exercise = ExerciseFactory()
        PlannedExerciseFactory(session=sessions[8], exercise=exercise, position=3 + n)
        logged(IssuedSheetFactory(client=lifter, for_on=MONDAY, exercises=[exercise_body(exercise)]))
    assert count() == before <= 10
