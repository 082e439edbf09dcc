"""A programme as long as the desk allows: opened quickly, and the page says what it leaves out."""

import time
from datetime import date

import pytest
from django.urls import reverse

from coachdesk import engine
from programs.models import IssuedSheet, PlannedExercise, PlannedSession, Program
from programs.selectors import prescription
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 11, 23)
NOTE = 'id="part-note"'


@pytest.fixture
def program(desk):
    """Eight weeks with one session of two exercises each, running from this week."""
    client = ClientFactory(coach=desk)
    ScreeningFactory(client=client)
    made = ProgramFactory(client=client, coach=desk, start_on=MONDAY, weeks=8)
    lifts = [ExerciseFactory(), ExerciseFactory()]
    for week_no in range(1, 9):
        session = PlannedSessionFactory(program=made, week_no=week_no, day=0, name=f"Upper {week_no}")
        for lift in lifts:
            PlannedExerciseFactory(session=session, exercise=lift)
    return made


def page_of(browser, program, **query):
    answer = browser.get(reverse("programs:program_detail", args=[program.pk]), query)
    assert answer.status_code == 200
    return answer.content.decode()


def cell_of(page, session):
    return page.split(f'id="s-{session.pk}"')[1].split("</article>")[0]


def test_a_programme_of_usual_length_is_worked_out_whole(as_coach, program):
    page = page_of(as_coach, program)
    assert NOTE not in page
    assert [" min" in cell_of(page, row) for row in PlannedSession.objects.all()] == [True] * 8


def test_a_long_one_says_which_weeks_it_is_worked_out_for(as_coach, program, monkeypatch):
    monkeypatch.setattr(prescription, "MOST_AT_ONCE", 15)
    page = page_of(as_coach, program, week=5)
    assert "This programme plans 16 exercises. Loads, minutes, sets per muscle and flags are worked out" in page
    assert "for weeks 3 to 6, around the week shown" in page
    for row in PlannedSession.objects.all():
        cell = cell_of(page, row)
        assert "6 sets" in cell
        assert (" min" in cell) is (3 <= row.week_no <= 6)


def test_any_session_of_a_long_one_is_opened_and_handed_out(as_coach, program, monkeypatch):
    whole = {row.pk: page_of(as_coach, program, session=row.pk) for row in PlannedSession.objects.all()}
    monkeypatch.setattr(prescription, "MOST_AT_ONCE", 15)
    for row in PlannedSession.objects.all():
        page = page_of(as_coach, program, session=row.pk)
        assert NOTE in page
        for planned in row.exercises.all():
            made = f'id="made-{planned.pk}"'
            assert page.split(made)[1].split("</td>")[0] == whole[row.pk].split(made)[1].split("</td>")[0]
    last = PlannedSession.objects.get(week_no=8)
    assert as_coach.post(reverse("programs:sheet_issue", args=[last.pk])).status_code == 302
    assert IssuedSheet.objects.get().planned_session == last


def test_flags_of_a_long_one_are_found_again_when_they_are_set_aside(as_coach, program, monkeypatch):
    monkeypatch.setattr(prescription, "MOST_AT_ONCE", 15)
    page = page_of(as_coach, program, week=7)
    flag = page.split('<article class="flag ')[1].split('id="flag-')[1][:16]
    path = reverse("programs:flag_dismiss", args=[program.pk])
    assert as_coach.post(f"{path}?week=7", {"flag": flag, "why": "Agreed with her."}).status_code == 302
    assert program.flag_decisions.get().flag_id == flag


def test_the_longest_programme_opens_within_three_seconds(as_coach, desk, monkeypatch):
    """52 weeks of seven sessions of twenty exercises, no two weeks alike; all of it took half a minute."""
    program = ProgramFactory(client=ClientFactory(coach=desk), coach=desk, start_on=MONDAY, weeks=52)
    lifts = [ExerciseFactory() for _ in range(20)]
    block = program.blocks.get()
    sessions = PlannedSession.objects.bulk_create(
        PlannedSession(block=block, week_no=week, day=day, name="Full") for week in range(1, 53) for day in range(7)
    )
    PlannedExercise.objects.bulk_create(
        PlannedExercise(session=one, exercise=lift, position=n, scheme=scheme_json(rest=str(60 + one.week_no)))
        for one in sessions for n, lift in enumerate(lifts)
    )  # fmt: skip
    given = []
    whole = engine.prescribe_weeks
    monkeypatch.setattr(engine, "prescribe_weeks", lambda plans, *rest: given.append(len(plans)) or whole(plans, *rest))
    began = time.process_time()
    assert "This programme plans 7,280 exercises." in page_of(as_coach, program)
    assert time.process_time() - began < 3
    assert given == [2 * 7]


def test_104_weeks_are_refused_in_words(as_coach):
    answer = as_coach.post(reverse("programs:program_new"), {"name": "Two years", "weeks": "104"})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "A programme has 1 to 52 weeks." in page
    assert 'value="104"' in page
    assert not Program.objects.exists()
