"""The calendar's pages: every day with its weekday, what is planned and done, moving, days away, zones and years."""

import re
from datetime import UTC, date, datetime
from unittest import mock

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from clients.models import Client
from coachdesk.practice.models import Act
from programs.calendar.month import calendar, shown_days
from programs.models import Absence, ClientDate, PlannedSession
from programs.services import record_test
from tests.factories.calendar import AbsenceFactory, ClientDateFactory, SessionLogFactory
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture(autouse=True)
def clock():
    """Wed 25 Nov 2026, noon in Greenwich."""
    with mock.patch("programs.calendar.views.timezone.now", return_value=datetime(2026, 11, 25, 12, 0, tzinfo=UTC)):
        yield


@pytest.fixture
def client(desk, gym):
    return ClientFactory(coach=desk, place=gym, name="Vera Lindholm")


@pytest.fixture
def program(desk, client):
    made = ProgramFactory(coach=desk, client=client, name="Autumn block", weeks=6)
    for week, day, name in ((1, 0, "Lower A"), (1, 3, "Upper A"), (2, 0, "Lower B"), (6, 4, "Last one")):
        PlannedExerciseFactory(session=PlannedSessionFactory(program=made, week_no=week, day=day, name=name))
    return made


def page(client, by="month", at=TODAY, today=TODAY):
    return calendar(client, by=by, at=at, today=today)


def states(shown):
    return {
        f"{day.on:%a %d %b}": [(e.name, e.state) for e in day.entries]
        for week in shown.weeks for day in week.days if day.entries
    }  # fmt: skip


def test_a_month_shows_whole_weeks_and_every_day_with_its_weekday(as_coach, client, program):
    text = as_coach.get(f"/clients/{client.pk}/calendar/?month=2026-11").content.decode()
    found = re.findall(r'<time datetime="([\d-]+)"[^>]*>(\w{3} \d+ \w{3})</time>', text)
    assert len(found) == 42
    assert found[0] == ("2026-10-26", "Mon 26 Oct")
    assert found[-1] == ("2026-12-06", "Sun 6 Dec")
    for iso, words in found:
        on = date.fromisoformat(iso)
        assert words == f"{on:%a} {on.day} {on:%b}"


def test_months_turn_with_the_year(client):
    shown = page(client, at=date(2026, 12, 31))
    assert (shown.title, shown.earlier, shown.later) == ("December 2026", date(2026, 11, 30), date(2027, 1, 1))
    assert shown_days("month", date(2027, 1, 15)) == (date(2026, 12, 28), date(2027, 1, 31))
    assert shown_days("month", date(2024, 2, 29)) == (date(2024, 1, 29), date(2024, 3, 3))
    assert shown_days("week", date(2027, 1, 1)) == (date(2026, 12, 28), date(2027, 1, 3))


def test_planned_missed_done_skipped_and_unplanned_sessions_stand_on_their_days(client, program):
    lower, upper = PlannedSession.objects.filter(block__program=program).order_by("week_no", "day")[:2]
    assert states(page(client))["Mon 23 Nov"] == [("Lower A", "missed")]
    SessionLogFactory(client=client, planned_session=lower, done_on=date(2026, 11, 24))
    SessionLogFactory(client=client, planned_session=upper, done_on=date(2026, 11, 26), status="skipped")
    SessionLogFactory(client=client, done_on=date(2026, 11, 22))
    assert states(page(client)) == {
        "Sun 22 Nov": [("Session", "done")], "Mon 23 Nov": [("Lower A", "done")], "Tue 24 Nov": [("Lower A", "done")],
        "Thu 26 Nov": [("Upper A", "skipped")], "Mon 30 Nov": [("Lower B", "planned")],
    }  # fmt: skip


def test_today_is_the_clients_day_also_when_clocks_change(as_coach, client, program):
    client.time_zone = "Pacific/Auckland"
    client.save()
    # Noon in Greenwich is one in the morning of Thu 26 Nov in Auckland.
    text = as_coach.get(f"/clients/{client.pk}/calendar/").content.decode()
    assert "Today is Thu 26 Nov 2026 in Pacific/Auckland" in text
    assert re.search(r'id="day-2026-11-26"[^>]* is-today', text)
    client.time_zone = "America/New_York"
    client.save()
    # The night in which clocks go back: 1:30 at -5 h is still the same Sunday.
    at = datetime(2026, 11, 1, 6, 30, tzinfo=UTC)
    with mock.patch("programs.calendar.views.timezone.now", return_value=at):
        text = as_coach.get(f"/clients/{client.pk}/calendar/").content.decode()
    assert "Today is Sun 1 Nov 2026" in text


def test_dragging_answers_with_the_calendar_drawn_anew_and_the_flags(as_coach, client, desk, gym):
    """Two hard sessions of a muscle on one pair of days: the flag is there in the very answer to the move."""
    made = ProgramFactory(coach=desk, client=client, weeks=2)
    bench = ExerciseFactory(practice=desk.practice, name="Bench press")
    hard = {"sets": "10", "load_kind": "effort", "load_value": "", "reps": "8", "rir": "0"}
    for day, name in ((0, "Push A"), (4, "Push B")):
        row = PlannedSessionFactory(program=made, week_no=2, day=day, name=name)
        PlannedExerciseFactory(session=row, exercise=bench, scheme=scheme_json(**hard))
    before = as_coach.get(f"/clients/{client.pk}/calendar/").content.decode()
    assert "are both hard" not in before
    answer = as_coach.post(
        f"/sessions/{row.pk}/move/", {"on": "2026-12-01", "version": row.version, "month": "2026-11"},
        headers={"HX-Request": "true"},
    )  # fmt: skip
    text = answer.content.decode()
    assert answer.status_code == 200
    assert text.lstrip().startswith('<div id="calendar"')
    assert "are both hard and 1 day apart" in text
    assert 'id="calendar-side" hx-swap-oob="true"' in text
    assert "Undo: Move Push B from Fri 4 Dec to Tue 1 Dec" in text


def test_without_scripts_a_form_moves_it_and_undo_brings_it_back(as_coach, client, program):
    row = PlannedSession.objects.get(name="Lower B")
    form = as_coach.get(f"/sessions/{row.pk}/move/?month=2026-11").content.decode()
    assert 'value="2026-11-30"' in form
    assert 'name="month" value="2026-11"' in form
    answer = as_coach.post(f"/sessions/{row.pk}/move/", {"on": "2026-12-02", "version": 1, "month": "2026-11"})
    assert answer.url == f"/clients/{client.pk}/calendar/?month=2026-11#s-{row.pk}"
    as_coach.post(f"/clients/{client.pk}/calendar/undo/", {"month": "2026-11"})
    row.refresh_from_db()
    assert (row.week_no, row.day) == (2, 0)
    as_coach.post(f"/clients/{client.pk}/calendar/redo/", {"month": "2026-11"})
    row.refresh_from_db()
    assert (row.week_no, row.day) == (2, 2)


def test_a_drop_outside_the_programme_stays_and_says_why(as_coach, client, program):
    row = PlannedSession.objects.get(name="Lower B")
    answer = as_coach.post(
        f"/sessions/{row.pk}/move/", {"on": "2026-11-19", "version": 1}, headers={"HX-Request": "true"}
    )
    assert answer.status_code == 422
    assert "Thu 19 Nov 2026 is outside Autumn block" in answer.content.decode()


def test_days_away_are_shown_before_they_are_written(as_coach, client, program):
    typed = {"first_on": "2026-11-28", "last_on": "2026-12-06", "kind": "holiday", "how": "shift", "note": "Crete"}
    url = f"/clients/{client.pk}/absences/new/"
    text = as_coach.post(url, typed).content.decode()
    assert not Absence.objects.exists()
    assert "2 sessions will change" in text
    assert "moves to Mon 7 Dec" in text
    assert "Autumn block ends 1 week later" in text
    digest = re.search(r'name="digest" value="(\w{64})"', text)[1]
    changed = as_coach.post(url, {**typed, "how": "drop", "digest": digest})
    assert changed.status_code == 409
    assert not Absence.objects.exists()
    assert as_coach.post(url, {**typed, "digest": digest}).status_code == 302
    assert Absence.objects.get().note == "Crete"
    text = as_coach.get(f"/clients/{client.pk}/calendar/?month=2026-12").content.decode()
    assert "Holiday: Crete" in text
    assert "Undo: Holiday Sat 28 Nov to Sun 6 Dec: move 2 sessions on" in text


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"last_on": "2026-11-20"}, "Fri 20 Nov 2026 is before the first day"),
        ({"first_on": "soon"}, "soon&#x27; is no date; write it like 2026-11-24"),
        ({"how": "elsewhere"}, "Training elsewhere needs the place"),
        ({"last_on": "2028-11-30"}, "days is over a year"),
        ({"last_on": "9999-12-30"}, "9999-12-30 is too far away to plan for; write a day from 2000 to 2100"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_and_what_was_typed_stays(as_coach, client, typed, words):
    base = {"first_on": "2026-11-28", "last_on": "2026-12-06", "kind": "illness", "how": "keep", "note": "kept words"}
    answer = as_coach.post(f"/clients/{client.pk}/absences/new/", {**base, **typed})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert words in text
    assert "kept words" in text


@pytest.mark.parametrize(
    "where", ["month=0001-01", "month=9999-12", "week=0001-01-01", "week=9999-12-31", "month=x", "week=2026-11-31"]
)
def test_days_that_no_calendar_shows_give_this_month(as_coach, client, where):
    text = as_coach.get(f"/clients/{client.pk}/calendar/?{where}").content.decode()
    assert "November 2026" in text


def test_a_day_in_a_far_century_is_refused_and_no_page_breaks(as_coach, client, program):
    answer = as_coach.post(f"/clients/{client.pk}/dates/new/", {"on": "9999-12-30", "kind": "peak"})
    assert answer.status_code == 422
    assert as_coach.get(f"/programs/{program.pk}/").status_code == 200
    row = PlannedSession.objects.get(name="Lower B")
    assert as_coach.post(f"/sessions/{row.pk}/move/", {"on": "9999-12-30", "version": 1}).status_code == 422


def test_two_sessions_of_a_day_stay_in_order_when_one_comes_and_goes(as_coach, client, program, desk):
    row = PlannedSession.objects.get(name="Lower B")
    as_coach.post(f"/sessions/{row.pk}/move/", {"on": "2026-11-23", "version": 1})
    assert states(page(client))["Mon 23 Nov"] == [("Lower A", "missed"), ("Lower B", "missed")]
    assert PlannedSession.objects.get(name="Lower B").position == 2


def test_a_missed_session_is_dropped_after_a_look(as_coach, client, program):
    row = PlannedSession.objects.get(name="Lower A")
    url = f"/sessions/{row.pk}/missed/"
    text = as_coach.post(url, {"how": "drop"}).content.decode()
    assert PlannedSession.objects.filter(pk=row.pk).exists()
    digest = re.search(r'name="digest" value="(\w{64})"', text)[1]
    assert as_coach.post(url, {"how": "drop", "digest": digest}).status_code == 302
    assert not PlannedSession.objects.filter(pk=row.pk).exists()


def test_a_templates_session_has_no_day_to_move_to(as_coach, desk):
    row = PlannedSessionFactory(program=ProgramFactory(coach=desk))
    assert as_coach.get(f"/sessions/{row.pk}/move/").status_code == 404
    assert as_coach.get(f"/sessions/{row.pk}/missed/").status_code == 404


def test_two_people_changing_days_away_meet_field_by_field(as_coach, client):
    row = AbsenceFactory(client=client)
    base = {"first_on": "2026-12-05", "last_on": "2026-12-13", "kind": "holiday", "note": ""}
    assert as_coach.post(f"/absences/{row.pk}/edit/", {**base, "note": "Crete", "version": 1}).status_code == 302
    answer = as_coach.post(f"/absences/{row.pk}/edit/", {**base, "note": "Malta", "version": 1})
    assert answer.status_code == 409
    assert "Crete" in answer.content.decode()
    assert "Malta" in answer.content.decode()
    assert as_coach.post(f"/absences/{row.pk}/edit/", {**base, "last_on": "2026-12-14", "note": "Crete", "version": 2})
    row.refresh_from_db()
    assert (row.last_on, row.note) == (date(2026, 12, 14), "Crete")


def test_an_assistant_sees_everything_and_is_offered_nothing_to_change(as_assistant, client, program):
    AbsenceFactory(client=client, note="Crete")
    ClientDateFactory(client=client)
    text = as_assistant.get(f"/clients/{client.pk}/calendar/?month=2026-12").content.decode()
    assert "Holiday: Crete" in text
    assert "Test of maxima" in text
    for address in ("/edit/", "/move/", "/missed/", "/new/", "calendar/undo/"):
        assert address not in text.split("<main")[1]


def test_a_test_day_is_entered_shown_changed_and_removed(as_coach, client, desk):
    squat = ExerciseFactory(practice=desk.practice, name="Back squat")
    url = f"/clients/{client.pk}/dates/new/"
    assert as_coach.post(url, {"on": "2026-12-18", "kind": "test", "exercise": squat.pk}).status_code == 302
    row = ClientDate.objects.get()
    assert "Test: Back squat" in as_coach.get(f"/clients/{client.pk}/calendar/?month=2026-12").content.decode()
    as_coach.post(f"/dates/{row.pk}/edit/", {"on": "2026-12-19", "kind": "peak", "note": "meet", "version": 1})
    row.refresh_from_db()
    assert row.words == "Peak: meet"
    as_coach.post(f"/dates/{row.pk}/delete/")
    assert not ClientDate.objects.exists()
    as_coach.post(f"/clients/{client.pk}/calendar/undo/")
    assert ClientDate.objects.get().words == "Peak: meet"


def test_a_test_day_shows_the_steps_to_an_attempt(as_coach, client, desk):
    squat = ExerciseFactory(practice=desk.practice, name="Back squat", pattern="squat", muscles={"quads": 1000})
    row = ClientDateFactory(client=client, exercise=squat)
    url = f"/dates/{row.pk}/"
    assert "No screening is on file: no test of a maximum" in as_coach.get(url).content.decode()
    ScreeningFactory(client=client)
    assert "No maximum of Back squat is known" in as_coach.get(url).content.decode()
    record_test(by=desk, client=client, exercise=squat, load=120_000, unit="kg", reps=1, on=date(2026, 11, 20))
    text = as_coach.get(url).content.decode()
    loads = re.findall(r"<strong>([\d.]+)</strong>", text)
    # the lower body rises by up to 20 % a step: back from 120, rounded down to what this bar makes
    assert loads == ["65", "80", "100", "120"]
    assert "Spotter or safeties" in text
    client.place = None
    client.save()
    assert "without a place of training" in as_coach.get(url).content.decode()


def test_a_remedy_is_applied_from_the_calendar(as_coach, client, desk, program):
    shown = page(client)
    flags = [(one.program, flag) for one in shown.programs for flag in one.flags if flag.remedies]
    assert flags
    acts = Act.objects.count()
    as_coach.post(f"/clients/{client.pk}/calendar/flags/apply/", {"flag": flags[0][1].id, "remedy": "0"})
    assert Act.objects.count() == acts + 1
    as_coach.post(f"/clients/{client.pk}/calendar/flags/apply/", {"flag": "gone", "remedy": "0"})
    assert Act.objects.count() == acts + 1


def test_the_number_of_queries_does_not_grow_with_sessions_logs_days_away_or_dates(client, program):
    def count() -> int:
        with CaptureQueriesContext(connection) as seen:
            shown = page(Client.objects.select_related("practice", "place").get(pk=client.pk))
            [e.view.exercises for w in shown.weeks for d in w.days for e in d.entries if e.view]
        return len(seen)

    rows = list(PlannedSession.objects.filter(block__program=program))
    SessionLogFactory(client=client, planned_session=rows[0], done_on=TODAY)
    AbsenceFactory(client=client)
    ClientDateFactory(client=client)
    one = count()
    for n in range(3):
        PlannedExerciseFactory(session=PlannedSessionFactory(program=program, week_no=1, day=n))
        SessionLogFactory(client=client, done_on=TODAY)
        AbsenceFactory(client=client)
        ClientDateFactory(client=client, exercise=ExerciseFactory(practice=client.practice))
    assert count() == one


@pytest.mark.parametrize("tail", ["missed", "move"])
def test_a_session_of_an_archived_programme_has_no_day_to_change(as_coach, client, program, tail):
    row = PlannedSession.objects.get(name="Lower A")
    program.archived_on = TODAY
    program.save()
    assert as_coach.get(f"/sessions/{row.pk}/{tail}/").status_code == 404
    assert as_coach.post(f"/sessions/{row.pk}/{tail}/", {"how": "drop", "to": "2026-11-26"}).status_code == 404
