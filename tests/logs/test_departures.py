"""Sets, exercises and the rest of a session left out, and another exercise done instead: with reason, by one form."""

import pytest
from django.urls import reverse

from coachdesk.practice.tape import undo
from programs.logs.mapping import set_key, sheet_key
from programs.logs.models import Departure, ExerciseWeek, SessionLog, SetLog
from programs.logs.services import undo_session_log
from programs.models import PainReport, StrengthObservation
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, exercise_body
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(desk):
    return ExerciseFactory(practice=desk.practice, name="Bench press")


@pytest.fixture
def dumbbells(desk):
    return ExerciseFactory(practice=desk.practice, name="Dumbbell press", equipment_kind="dumbbell", implements=2)


@pytest.fixture
def sheet(desk, bench):
    client = ClientFactory(coach=desk, name="Amara Tolledo")
    return IssuedSheetFactory(client=client, exercises=[exercise_body(bench), exercise_body(ExerciseFactory(), 2)])


def send(browser, sheet, **fields):
    data = {"key": sheet_key(sheet.uid).hex, "done_on": "2026-11-24", "minutes": "", "rating": "", "note": ""}
    url = reverse("logs:session_log", args=[sheet.pk])
    return browser.post(url, data | {name.replace("__", "-"): value for name, value in fields.items()})


def page_of(browser):
    url = reverse("logs:session_log_detail", args=[SessionLog.objects.get().pk])
    return browser.get(url).content.decode()


def test_a_whole_set_may_stand_in_one_cell(as_coach, sheet):
    answer = send(as_coach, sheet, **{"reps-1-1-1-b": "72,5 x 8 @2", "reps-1-2-1-b": "7", "load-1-3-1-b": "65 x 9"})
    assert answer.status_code == 302
    rows = SetLog.objects.order_by("set_no").values_list("load", "reps", "rir", "failed")
    assert list(rows) == [(72_500, 8, 2.0, False), (70_000, 7, None, True), (65_000, 9, None, False)]


def test_one_row_as_written_and_a_dash_that_wins_over_the_button(as_coach, sheet):
    send(as_coach, sheet, **{"written-1-2-1-b": "1"})
    assert list(SetLog.objects.values_list("set_no", "as_written")) == [(2, True)]
    SessionLog.objects.all().delete()
    send(as_coach, sheet, as_written="all", **{"reps-1-3-1-b": "- elbow sore"})
    assert SetLog.objects.filter(position=1).count() == 2
    assert list(Departure.objects.values_list("place", "why")) == [("1-3-1-b", "elbow sore")]
    assert "not done: elbow sore" in page_of(as_coach)


def test_an_exercise_and_the_rest_are_left_out_with_a_reason(as_coach, sheet):
    send(as_coach, sheet, rest_why="Had to leave", **{"reps-1-1-1-b": "8", "why-2": "Rack taken"})
    there = dict(Departure.objects.values_list("place", "why"))
    assert there == {"2": "Rack taken", "": "Had to leave"}
    page = page_of(as_coach)
    assert "left out: Rack taken" in page
    assert "Rest left out: Had to leave." in page
    assert page.count("not done: Had to leave") == 2


def test_evidence_and_sums_go_to_the_exercise_done_instead(as_coach, sheet, bench, dumbbells):
    answer = send(
        as_coach, sheet, **{"instead-1": "dumbbell PRESS", "why-1": "Bench taken", "reps-1-1-1-b": "30 x 8 @1"},
        **{"reps-1-2-1-b": "30 x 7 @0", "pain-1": "2"},
    )  # fmt: skip
    assert answer.status_code == 302
    assert set(SetLog.objects.values_list("exercise", "planned_load", "load")) == {(dumbbells.pk, None, 30_000)}
    assert set(StrengthObservation.objects.values_list("exercise", flat=True)) == {dumbbells.pk}
    assert list(ExerciseWeek.objects.values_list("exercise", flat=True)) == [dumbbells.pk]
    assert PainReport.objects.get().exercise == dumbbells
    page = page_of(as_coach)
    assert "Dumbbell press, instead of Bench press: Bench taken" in page


def test_a_set_logged_later_is_of_the_exercise_done_instead_too(as_coach, sheet, dumbbells):
    send(as_coach, sheet, **{"instead-1": "Dumbbell press", "why-1": "Bench taken", "reps-1-1-1-b": "30 x 8"})
    log = SessionLog.objects.get()
    url = reverse("logs:set_log", args=[log.pk])
    assert as_coach.post(url, {"slot": "1-2-1-b", "load": "", "reps": "8"}).status_code == 422
    assert as_coach.post(url, {"slot": "1-2-1-b", "reps": "30 x 7 @2"}).status_code == 302
    made = SetLog.objects.get(key=set_key(log.key, "1-2-1-b"))
    assert (made.exercise, made.load, made.reps, made.rir) == (dumbbells, 30_000, 7, 2.0)


WRONG = [
    ({"instead-1": "Dumbell pres", "why-1": "x", "reps-1-1-1-b": "30 x 8"}, "instead-1", "Dumbbell press"),
    ({"instead-1": "Dumbbell press", "reps-1-1-1-b": "30 x 8"}, "why-1", "Say why"),
    ({"instead-1": "Dumbbell press", "why-1": "x"}, "instead-1", "Type the sets"),
    ({"instead-1": "Bench press", "why-1": "x", "reps-1-1-1-b": "30 x 8"}, "instead-1", "what was planned"),
    ({"instead-1": "Dumbbell press", "why-1": "x", "reps-1-1-1-b": "8"}, "load-1-1-1-b", "Type the load"),
    ({"instead-1": "Dumbbell press", "why-1": "x", "written-1": "1"}, "instead-1", "Type the sets"),
    ({"reps-1-1-1-b": "8", "why-1": "y" * 201}, "why-1", "200"),
    ({"reps-1-1-1-b": "8", "instead-1": "z" * 1_000_000}, "instead-1", "80"),
    ({"reps-1-1-1-b": "8", "rest_why": "e" + "\u0301" * 40}, "", "marks"),
    ({"reps-1-1-1-b": "- " + "e" + "\u0301" * 20, "reps-1-2-1-b": "8"}, "", "marks"),
]


@pytest.mark.parametrize(("fields", "name", "words"), WRONG)
def test_what_cannot_be_kept_is_refused_at_its_field(as_coach, sheet, dumbbells, fields, name, words):
    answer = send(as_coach, sheet, **fields)
    form = answer.context["form"]
    assert answer.status_code == 422
    assert words in str(form.errors[name] if name else form.errors)
    assert not SessionLog.objects.exists()


def test_the_same_session_with_another_reason_is_no_replay(as_coach, sheet):
    assert send(as_coach, sheet, **{"reps-1-1-1-b": "8", "why-2": "Rack taken"}).status_code == 302
    assert send(as_coach, sheet, **{"reps-1-1-1-b": "8", "why-2": "Rack taken"}).status_code == 302
    assert send(as_coach, sheet, **{"reps-1-1-1-b": "8", "why-2": "Elbow"}).status_code == 422
    assert Departure.objects.get().why == "Rack taken"


def test_undo_takes_the_departures_along_and_redo_brings_them_back(as_coach, sheet, desk):
    send(as_coach, sheet, **{"reps-1-1-1-b": "8", "why-2": "Rack taken"})
    act = undo_session_log(by=desk, session_log=SessionLog.objects.get())
    assert not Departure.objects.exists()
    undo(act, by=desk)
    assert Departure.objects.get().why == "Rack taken"


def test_what_may_stand_in_is_offered(as_coach, sheet, dumbbells):
    page = as_coach.get(reverse("logs:session_log", args=[sheet.pk])).content.decode()
    assert '<datalist id="stand-ins-1">' in page
    assert '<option value="Dumbbell press">' in page


def test_the_page_says_who_changed_what_from_what_to_what(as_coach, sheet, desk):
    send(as_coach, sheet, **{"reps-1-1-1-b": "8 @2", "pain-1": "3"})
    row, log = SetLog.objects.get(), SessionLog.objects.get()
    as_coach.post(reverse("logs:set_edit", args=[row.pk]), {"load": "72,5", "reps": "7", "rir": "2", "version": 1})
    head = {"done_on": "2026-11-23", "minutes": "58", "rating": "", "note": "", "version": 1}
    as_coach.post(reverse("logs:session_log_edit", args=[log.pk]), head)
    page = as_coach.get(reverse("logs:session_log_changes", args=[log.pk])).content.decode()
    assert "Bench press, set 1: load 70 kg to 72.5 kg, reps 8 to 7" in page
    assert "The session: day Tue 24 Nov to Mon 23 Nov, minutes blank to 58" in page
    assert desk.user.name in page
    as_coach.post(reverse("logs:session_log_undo", args=[log.pk]))
    page = as_coach.get(reverse("logs:session_log_changes", args=[log.pk])).content.decode()
    assert "Undone: The session: day Mon 23 Nov to Tue 24 Nov, minutes 58 to blank" in page
