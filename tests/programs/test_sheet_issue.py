"""Handing a session over: the sheet is a lasting copy, and a stop asks for a reason first."""

from datetime import date

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from programs.logs.models import SessionLog
from programs.models import FlagDecision, IssuedSheet
from programs.selectors import program_view
from programs.services import record_test
from tests.factories.clients import ClientFactory, PrecautionFactory, ScreeningFactory
from tests.factories.logs import logged
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

pytestmark = pytest.mark.django_db


@pytest.fixture
def planned(desk, gym):
    """A press at 75 % for an unscreened client with a known 1RM."""
    client = ClientFactory(coach=desk, place=gym, born_on=date(1990, 5, 1))
    program = ProgramFactory(coach=desk, client=client)
    row = PlannedExerciseFactory(session=PlannedSessionFactory(program=program), exercise=ExerciseFactory(name="Press"))
    record_test(by=desk, client=client, exercise=row.exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return row


def issue(http, row, **typed):
    return http.post(reverse("programs:sheet_issue", args=[row.session_id]), typed)


def test_sheet_holds_every_step_with_load_plates_and_reason(as_coach, planned):
    answer = issue(as_coach, planned)
    sheet = IssuedSheet.objects.get()
    assert answer["Location"] == reverse("programs:sheet_detail", args=[sheet.pk])
    lift = sheet.body["exercises"][0]
    assert [(s["set"], s["load"], s["setup"]) for s in lift["steps"]] == [
        (n, 75000, "25 + 2.5 a side") for n in (1, 2, 3)
    ]
    assert all(s["because"] for s in lift["steps"][:1])
    page = as_coach.get(answer["Location"]).content.decode()
    assert "25 + 2.5 a side" in page
    assert "replaces neither medical advice" in page


def test_high_blood_pressure_asks_to_breathe_without_naming_the_reason(as_coach, planned):
    client = planned.session.block.program.client
    assert "never hold your breath" not in as_coach.get(issue(as_coach, planned)["Location"]).content.decode()
    PrecautionFactory(client=client, code="high_blood_pressure", words="High blood pressure, treated")
    page = as_coach.get(issue(as_coach, planned)["Location"]).content.decode()
    assert "never hold your breath under load" in page
    assert "blood pressure" not in page


def test_reserve_that_a_percentage_leaves_is_asked_for_in_halves(as_coach, planned):
    issue(as_coach, planned)
    asked = {s["rir"] for s in IssuedSheet.objects.get().body["exercises"][0]["steps"]}
    assert asked
    assert all(rir * 2 == round(rir * 2) for rir in asked)


def test_what_only_a_coach_can_judge_is_not_on_the_sheet(as_coach, planned):
    planned.scheme = scheme_json(kind="drop_set", sets="1", load_value="", reps="failure", ladder="80/50/25")
    planned.save()
    program = planned.session.block.program
    ScreeningFactory(client=program.client)
    shown = program_view(program, client=program.client, on=MONDAY).exercise(planned.pk)
    assert "not_predicted" in {note.kind for note in shown.prescribed.notes}
    issue(as_coach, planned)
    assert IssuedSheet.objects.get().body["exercises"][0]["notes"] == []


def test_issuing_twice_gives_the_same_sheet_and_a_changed_plan_a_new_one(as_coach, planned):
    first = issue(as_coach, planned)["Location"]
    assert issue(as_coach, planned)["Location"] == first
    planned.scheme = scheme_json(load_value="70")
    planned.save()
    assert issue(as_coach, planned)["Location"] != first
    assert IssuedSheet.objects.count() == 2


def test_stop_blocks_handing_over_until_a_reason_is_written(as_coach, planned):
    planned.scheme = scheme_json(reps="failure")
    planned.save()
    answer = issue(as_coach, planned)
    assert answer.status_code == 422
    assert "no screening is on file" in answer.content.decode()
    assert issue(as_coach, planned, why="   ").status_code == 422
    assert not IssuedSheet.objects.exists()
    answer = issue(as_coach, planned, why="Cleared by phone today; papers follow.")
    assert answer.status_code == 302
    assert FlagDecision.objects.get().why == "Cleared by phone today; papers follow."
    assert "Cleared by phone today" in as_coach.get(answer["Location"]).content.decode()


def test_screened_client_goes_to_failure_without_a_stop(as_coach, planned):
    ScreeningFactory(client=planned.session.block.program.client)
    planned.scheme = scheme_json(reps="failure")
    planned.save()
    assert issue(as_coach, planned).status_code == 302


def test_template_has_no_sheet(as_coach, desk):
    row = PlannedExerciseFactory(session=PlannedSessionFactory(program=ProgramFactory(coach=desk)))
    answer = issue(as_coach, row)
    assert answer.status_code == 422
    assert "assign it first" in answer.content.decode()


def test_deleting_the_plan_keeps_the_sheet(as_coach, planned):
    issue(as_coach, planned)
    as_coach.post(reverse("programs:session_delete", args=[planned.session_id]))
    sheet = IssuedSheet.objects.get()
    assert sheet.planned_session is None
    assert as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).status_code == 200
    as_coach.post(reverse("programs:program_undo", args=[planned.session.block.program_id]))
    sheet.refresh_from_db()
    assert sheet.planned_session_id == planned.session_id


def test_a_sheet_that_was_logged_from_cannot_be_taken_back_until_the_log_is(as_coach, planned):
    """Else the session would lose what was planned for it, and its evidence the strength it was done with."""
    issue(as_coach, planned, why="Tested last week.")
    sheet, act = IssuedSheet.objects.get(), Act.objects.latest("id")
    log = logged(sheet)
    url = reverse("practice:act_undo", args=[act.pk])
    assert "builds on this: undo that first." in as_coach.post(url, follow=True).content.decode()
    assert SessionLog.objects.get().sheet == sheet
    as_coach.post(reverse("logs:session_log_undo", args=[log.pk]))
    as_coach.post(url)
    assert not IssuedSheet.objects.exists()
