"""Pain typed with a session and on its page: kept, corrected, completed the next morning, undone, never lost."""

from dataclasses import replace
from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from clients.services import set_rules
from clients.services.stale import StaleForm
from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.logs import services
from programs.models import Exercise, PainReport, StrengthEstimate
from programs.services import record_test
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, exercise_body, logged, straight_sets, written_steps
from tests.factories.programs import ExerciseFactory
from tests.incremental.recount import derived, worked_anew

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(desk):
    bodies = [exercise_body(ExerciseFactory(name="Leg press"), 1), exercise_body(ExerciseFactory(name="Row"), 2)]
    return IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=bodies)


def press(sheet):
    return sheet.body["exercises"][0]["exercise"]


def said(sheet):
    rows = PainReport.objects.filter(client=sheet.client).order_by("id")
    return [(row.exercise_id, row.pain, row.next_morning, row.note) for row in rows]


def type_session(browser, sheet, **more):
    data = {"key": str(uuid4()), "done_on": "2026-11-24", "as_written": "all", **more}
    return browser.post(reverse("logs:session_log", args=[sheet.pk]), data)


def type_pain(browser, log, **typed):
    return browser.post(reverse("logs:session_pain", args=[log.pk]), {"exercise": "session", "version": "0", **typed})


def record(log, by, exercise_id=None, version=0, **values):
    values = {"pain": None, "next_morning": None, "note": "", **values}
    return services.record_pain(
        by=by, session_log=log, exercise_id=exercise_id, version=version, values=values, now=NOON
    )


def test_pain_is_typed_beside_an_exercise_when_the_session_is_logged(as_coach, sheet):
    assert type_session(as_coach, sheet, **{"pain-1": "4"}).status_code == 302
    assert said(sheet) == [(press(sheet), 4, None, "")]
    report = PainReport.objects.get()
    assert (report.on, report.source_uid) == (TUESDAY, sheet.logs.get().key)


@pytest.mark.parametrize("bad", ["11", "-1", "4.5", "much", "nan", "9" * 40])
def test_pain_outside_the_scale_is_refused_and_what_was_typed_stays(as_coach, sheet, bad):
    response = type_session(as_coach, sheet, **{"pain-1": bad})
    text = response.content.decode()
    assert response.status_code == 422
    assert "0 to 10" in text
    assert f'value="{bad}"' in text
    assert said(sheet) == []
    assert not sheet.logs.exists()


def test_pain_of_an_exercise_that_was_not_done_is_asked_about(as_coach, sheet):
    response = type_session(as_coach, sheet, as_written="", **{"written-2": "1", "pain-1": "4"})
    assert response.status_code == 422
    assert "was not done" in response.content.decode()


def test_the_same_session_sent_twice_is_kept_once_and_another_pain_is_refused(desk, sheet):
    key = uuid4()
    first = logged(sheet, key=key, pains={press(sheet): 3})
    assert logged(sheet, key=key, pains={press(sheet): 3}) == first
    with pytest.raises(services.KeyReused):
        logged(sheet, key=key, pains={press(sheet): 5})
    assert said(sheet) == [(press(sheet), 3, None, "")]


def test_a_set_that_ends_in_pain_neither_raises_nor_lowers_the_estimate(desk, sheet):
    exercise = Exercise.objects.get(pk=press(sheet))
    record_test(by=desk, client=sheet.client, exercise=exercise, load=100_000, unit="kg", reps=1, on=date(2026, 11, 2))
    before = StrengthEstimate.objects.get(exercise=exercise).mean_kg
    row = sheet.body["exercises"][0]["steps"][0]
    low = replace(written_steps(sheet)[0], load=row["load"] // 2, reps=6, rir=0.0, failed=True, as_written=False)
    log = logged(sheet, steps=[low], pains={press(sheet): 6})
    assert StrengthEstimate.objects.get(exercise=exercise).mean_kg == before
    report = PainReport.objects.get()
    record(log, desk, press(sheet), report.version, pain=1)
    assert StrengthEstimate.objects.get(exercise=exercise).mean_kg < before


def test_undoing_the_session_takes_its_pain_along(as_coach, sheet):
    log = logged(sheet, pains={press(sheet): 3})
    as_coach.post(reverse("logs:session_log_undo", args=[log.pk]))
    assert said(sheet) == []


def test_the_next_morning_is_added_on_the_page(as_coach, sheet):
    log = logged(sheet, pains={press(sheet): 3})
    page = as_coach.get(reverse("logs:session_log_detail", args=[log.pk])).content.decode()
    assert f'id="pain-{press(sheet)}-pain"' in page
    done = type_pain(as_coach, log, exercise=str(press(sheet)), version="1", pain="3", next_morning="6", note="stiff")
    assert done.status_code == 302
    assert said(sheet) == [(press(sheet), 3, 6, "stiff")]
    as_coach.post(reverse("logs:session_log_undo", args=[log.pk]))
    assert said(sheet) == [(press(sheet), 3, None, "")]


def test_the_whole_session_can_hurt_and_a_blank_takes_it_away(as_coach, sheet):
    log = logged(sheet)
    type_pain(as_coach, log, pain="2")
    assert said(sheet) == [(None, 2, None, "")]
    type_pain(as_coach, log, pain="", version="1")
    assert said(sheet) == []


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"pain": "12"}, "0 to 10"),
        ({"pain": "", "next_morning": "4"}, "during the session too"),
        ({"pain": "2", "version": "many"}, "Reload the page"),
        ({"pain": "2", "version": ""}, "Reload the page"),
        ({"pain": "2", "exercise": "squat"}, "Reload the page"),
        ({"pain": "2", "exercise": "999999"}, "not done in this session"),
        ({"pain": "2", "version": "3"}, "taken away meanwhile"),
        ({"pain": "2", "note": "x" * 201}, "at most 200 characters"),
    ],
)
def test_a_line_that_cannot_be_kept_says_why(as_coach, sheet, typed, words):
    response = type_pain(as_coach, logged(sheet), **typed)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert said(sheet) == []


def test_two_people_on_one_report_are_both_shown(as_coach, desk, owner, sheet):
    log = logged(sheet, pains={press(sheet): 3})
    record(log, owner, press(sheet), 1, pain=5)
    response = type_pain(as_coach, log, exercise=str(press(sheet)), version="1", pain="4")
    text = response.content.decode()
    assert response.status_code == 409
    assert "saved now: 5" in text
    assert 'value="4"' in text
    record(log, desk, press(sheet), 1, pain=3, next_morning=2)
    assert said(sheet) == [(press(sheet), 5, 2, "")]
    with pytest.raises(StaleForm):
        record(log, desk, press(sheet), 0, pain=9)


def test_reports_follow_the_day_of_their_session(desk, sheet):
    log = logged(sheet, pains={press(sheet): 3})
    services.edit_session_log(by=desk, session_log=log, version=1, values={"done_on": date(2026, 11, 23)}, now=NOON)
    assert PainReport.objects.get().on == date(2026, 11, 23)


def test_a_report_of_nothing_is_not_written(desk, sheet):
    log = logged(sheet)
    assert record(log, desk) is None
    with pytest.raises(ValidationError):
        record(log, desk, pain=11)
    assert said(sheet) == []


def test_which_pain_silences_a_set_is_asked_of_all_sets_when_the_rule_changes(desk, sheet):
    """Estimates follow the rule that holds now, and its undo, and not the one that held when each was worked out."""
    client = sheet.client
    easier = [exercise_body(Exercise.objects.get(pk=press(sheet)), steps=straight_sets(1, load=60_000))]
    logged(IssuedSheetFactory(client=client, exercises=easier), by=desk, done_on=TUESDAY - timedelta(days=7))
    logged(sheet, by=desk, pains={press(sheet): 4})
    heard = derived(client)
    set_rules(by=desk, of=client, values={"pain_hold": 2}, now=NOON)
    silenced = derived(client)
    assert silenced == worked_anew(client) != heard
    undo(Act.objects.latest("id"), by=desk)
    assert derived(client) == worked_anew(client) == heard
    set_rules(by=desk, of=desk.practice, values={"pain_hold": 2}, now=NOON)
    assert derived(client) == silenced
