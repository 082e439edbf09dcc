"""A plan edited after its sheet was issued: what is logged stays with the sheet, and the coach is told."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext

from coachdesk import engine
from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.logs.mapping import done_otherwise
from programs.logs.models import PlanGap, SessionLog, SetLog
from programs.logs.phone.entries import SetDone
from programs.logs.phone.services import record_entry
from programs.logs.selectors import roster_page, visible_session_logs
from programs.logs.selectors.needs import worked_out
from programs.logs.selectors.plan_gaps import plan_gap_of, unseen_logs
from programs.logs.services import bring_up_to_date, log_set, see_plan_gap
from programs.models import PlannedExercise
from programs.services import issue_sheet, record_test
from programs.services.exercises import add_cue, add_exercise, move_exercise, remove_exercise, set_scheme
from programs.services.sessions import edit_session, remove_session
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.logs import NOON, TUESDAY, logged, step_at
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

pytestmark = pytest.mark.django_db
FOUR = engine.scheme_from_json(scheme_json(sets="4"))


@pytest.fixture
def client(desk):
    client = ClientFactory(coach=desk, name="Vera Lindholm")
    ScreeningFactory(client=client)
    return client


@pytest.fixture
def session(desk, client):
    """Bench press and rows on Mon 23 Nov, with a maximum each."""
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), name="Upper A")
    for name in ("Bench press", "Barbell row"):
        lift = ExerciseFactory(practice=desk.practice, name=name)
        PlannedExerciseFactory(session=session, exercise=lift)
        record_test(by=desk, client=client, exercise=lift, load=100_000, unit="kg", reps=1, on=MONDAY)
    return session


@pytest.fixture
def sheet(desk, session):
    return issue_sheet(by=desk, session=session, now=NOON, why="Tested last week.")


@pytest.fixture
def bench(session):
    return session.exercises.order_by("position")[0]


def told(client):
    """What the session page says of each of the client's logs, by (what, issued, now)."""
    logs = visible_session_logs(client.coach).filter(client=client).order_by("id")
    shown = [plan_gap_of(log) for log in logs]
    return [(one.what, one.issued, one.now) for gap in shown if gap for one in gap.lines]


def reasons(client):
    bring_up_to_date(client.coach, TUESDAY)
    row = next(row for row in roster_page(client.coach, today=TUESDAY).rows if row.client.pk == client.pk)
    return [reason.words for reason in row.need.reasons if reason.rule == "need_plan_left"]


def test_a_plan_edited_before_its_sheet_was_issued_says_nothing(desk, client, session, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    sheet = issue_sheet(by=desk, session=session, now=NOON, why="Tested last week.")
    logged(sheet)
    assert (PlanGap.objects.count(), told(client), reasons(client)) == (0, [], [])


def test_a_plan_edited_between_issue_and_log_is_told_and_the_log_goes_by_the_sheet(desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    log = logged(sheet)
    assert log.sheet_id == sheet.pk
    assert log.sets.filter(exercise=bench.exercise_id).count() == 3
    assert told(client) == [("Bench press", "3 x 8 @ 75 %, rest 2 min", "4 x 8 @ 75 %, rest 2 min")]
    assert reasons(client) == ["1 session logged from a sheet that the plan has left"]
    assert unseen_logs(client) == [log]


def test_an_edit_that_was_undone_before_the_log_is_not_told(desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    undo(Act.objects.latest("id"), by=desk)
    logged(sheet)
    assert (PlanGap.objects.count(), told(client), reasons(client)) == (0, [], [])


def test_an_edit_that_was_undone_after_the_log_is_told_no_more(desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    act = Act.objects.latest("id")
    logged(sheet)
    undo(act, by=desk)
    assert PlanGap.objects.count() == 1
    assert (told(client), reasons(client), unseen_logs(client)) == ([], [], [])


def test_a_plan_edited_after_the_log_is_not_told(desk, client, sheet, bench):
    logged(sheet)
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    assert (told(client), reasons(client)) == ([], [])


def test_a_session_that_was_deleted_from_the_plan_is_told(desk, client, session, sheet):
    remove_session(by=desk, session=session)
    sheet.refresh_from_db()
    logged(sheet)
    assert told(client) == [("The session", "Upper A", "not in the plan")]
    assert len(reasons(client)) == 1


def test_a_session_deleted_after_the_log_and_a_gap_before_is_still_told(desk, client, session, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    log = logged(sheet)
    remove_session(by=desk, session=session)
    assert told(client) == [("The session", "Upper A", "not in the plan")]
    assert (len(reasons(client)), unseen_logs(client)) == (1, [log])


EDITS = {
    "day": (
        lambda desk, session, bench: _edit(desk, session, day=2),
        ("The day", "Mon 23 Nov 2026", "Wed 25 Nov 2026"),
    ),
    "name": (lambda desk, session, bench: _edit(desk, session, name="Push"), ("The name", "Upper A", "Push")),
    "note": (lambda desk, session, bench: _edit(desk, session, note="Slow"), ("The note", "none", "Slow")),
    "removed": (
        lambda desk, session, bench: remove_exercise(by=desk, planned=bench),
        ("Bench press", "3 x 8 @ 75 %, rest 2 min", "not in the plan"),
    ),
    "cue": (
        lambda desk, session, bench: add_cue(by=desk, planned=bench, words="Low"),
        ("Bench press", "3 x 8 @ 75 %, rest 2 min", "3 x 8 @ 75 %, rest 2 min; Low"),
    ),
    "order": (
        lambda desk, session, bench: move_exercise(by=desk, planned=bench, up=False),
        ("The order", "Bench press, Barbell row", "Barbell row, Bench press"),
    ),
}  # fmt: skip


def _edit(desk, session, **values):
    edit_session(by=desk, session=session, version=session.version, values=values)


@pytest.mark.parametrize("name", EDITS)
def test_what_differs_is_said_in_words(name, desk, client, session, sheet, bench):
    change, line = EDITS[name]
    change(desk, session, bench)
    logged(sheet)
    assert told(client) == [line]


def test_another_exercise_in_its_place_and_a_new_one(desk, client, session, sheet, bench):
    press, curl = (ExerciseFactory(practice=desk.practice, name=name) for name in ("Dip", "Curl"))
    PlannedExercise.objects.filter(pk=bench.pk).update(exercise=press)
    add_exercise(by=desk, session=session, exercise=curl, scheme=FOUR)
    logged(sheet)
    rows = "3 x 8 @ 75 %, rest 2 min"
    assert told(client) == [
        ("Bench press", f"Bench press, {rows}", f"Dip, {rows}"),
        ("Curl", "not on the sheet", "4 x 8 @ 75 %, rest 2 min"),
    ]


def test_a_row_replaced_by_its_like_and_new_loads_are_no_change_of_plan(desk, client, session, sheet, bench):
    like = PlannedExercise.objects.get(pk=bench.pk)
    bench.delete()
    like.pk, like.position = None, 1
    like.save(force_insert=True)
    record_test(by=desk, client=client, exercise=like.exercise, load=140_000, unit="kg", reps=1, on=TUESDAY)
    logged(sheet)
    assert told(client) == []


def test_a_set_on_the_phone_in_the_middle_of_the_session_tells_of_an_edit_since(desk, client, sheet, bench):
    def done(slot):
        record_entry(client=client, sheet=sheet, key=uuid4(), entry=SetDone(slot, as_written=True), now=NOON)

    done("1-1-1-b")
    assert told(client) == []
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    done("1-2-1-b")
    assert len(told(client)) == 1
    see_plan_gap(by=desk, gap=PlanGap.objects.get(), version=1, now=NOON)
    done("1-3-1-b")
    assert reasons(client) == []
    set_scheme(by=desk, planned=bench, scheme=engine.scheme_from_json(scheme_json(sets="5")))
    done("2-1-1-b")
    assert len(reasons(client)) == 1
    assert SetLog.objects.count() == 4


def test_a_set_that_the_coach_types_later_tells_too(desk, client, sheet, bench):
    log = logged(sheet, steps=[done_otherwise(step_at(sheet, "1-1-1-b"), load=70_000, reps=8, rir=None)])
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    step = done_otherwise(step_at(sheet, "1-2-1-b"), load=70_000, reps=8, rir=None)
    log_set(by=desk, session_log=log, key=uuid4(), now=NOON, step=step)
    assert len(told(client)) == 1


def test_seen_is_kept_with_a_name_and_can_be_undone(desk, as_coach, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    log = logged(sheet)
    page = as_coach.get(f"/session-logs/{log.pk}/").content.decode()
    for words in ("The plan changed after this sheet was issued", f"/sheets/{sheet.pk}/", "4 x 8 @ 75 %", "gap-seen"):
        assert words in page
    assert "plan-left" in as_coach.get(f"/clients/{client.pk}/sessions/").content.decode()
    gap = PlanGap.objects.get()
    for _ in range(2):
        assert as_coach.post(f"/plan-gaps/{gap.pk}/seen/", {"version": 1}).status_code == 302
    gap.refresh_from_db()
    assert (gap.seen_by, gap.version) == (desk, 2)
    assert reasons(client) == []
    page = as_coach.get(f"/session-logs/{log.pk}/").content.decode()
    assert "seen by" in page
    assert "gap-seen" not in page
    assert "plan-left" not in as_coach.get(f"/clients/{client.pk}/sessions/").content.decode()
    as_coach.post(f"/session-logs/{log.pk}/undo/")
    assert len(reasons(client)) == 1


@pytest.mark.parametrize("version", ["", "0", "x", "\0", "9" * 40, "-1", "²"])
def test_seen_of_no_such_version_changes_nothing(version, as_coach, desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    logged(sheet)
    gap = PlanGap.objects.get()
    assert as_coach.post(f"/plan-gaps/{gap.pk}/seen/", {"version": version}).status_code == 302
    gap.refresh_from_db()
    assert gap.seen_at is None


def test_what_was_told_since_the_page_was_drawn_is_not_seen(desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    logged(sheet)
    gap = PlanGap.objects.get()
    with pytest.raises(ValidationError, match="changed again"):
        see_plan_gap(by=desk, gap=gap, version=7, now=NOON)


def test_an_assistant_reads_it_and_has_no_button(as_assistant, desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    log = logged(sheet)
    page = as_assistant.get(f"/session-logs/{log.pk}/").content.decode()
    assert "The plan changed after this sheet was issued" in page
    assert "gap-seen" not in page


def test_undoing_the_log_takes_the_gap_away_and_redoing_brings_it_back(desk, client, sheet, bench):
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    logged(sheet)
    undo(Act.objects.latest("id"), by=desk)
    assert (SessionLog.objects.count(), PlanGap.objects.count()) == (0, 0)
    undo(Act.objects.latest("id"), by=desk)
    assert len(told(client)) == 1


def test_the_roster_asks_as_often_for_many_gaps(desk, client, sheet, bench):
    def queries():
        with CaptureQueriesContext(connection) as caught:
            worked_out([client], TUESDAY)
        return len(caught)

    before = queries()
    set_scheme(by=desk, planned=bench, scheme=FOUR)
    for days in range(5):
        logged(sheet, done_on=TUESDAY - timedelta(days=days), key=uuid4())
    assert queries() == before
    assert reasons(client) == ["5 sessions logged from a sheet that the plan has left"]
