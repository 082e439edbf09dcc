"""Everything said on a phone: kept once under its key, into the one log of its sheet, and never over somebody else."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from random import Random
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.logs.mapping import sheet_key
from programs.logs.models import ClientMessage, Departure, MuscleWeek, PhoneEntry, SessionLog, SetLog
from programs.logs.phone.entries import Hurt, Rated, Said, SetCleared, SetDone, Skipped, Swapped
from programs.logs.phone.services import record_entry
from programs.logs.selectors import session_page
from programs.logs.services import KeyReused, edit_set, record_session_log
from programs.models import PainReport, TrainingFacts
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, exercise_body, logged, written_steps
from tests.factories.programs import ExerciseFactory
from tests.incremental.recount import derived, worked_anew

pytestmark = pytest.mark.django_db
WRITTEN = SetDone("1-1-1-b", as_written=True)
OTHER = SetDone("1-1-1-b", reps=7, load=72_500, rir=1.0)


@pytest.fixture
def sheet(desk):
    return IssuedSheetFactory(client=ClientFactory(coach=desk))


def say(sheet, entry, key=None, now=NOON, **more):
    return record_entry(client=sheet.client, sheet=sheet, key=key or uuid4(), entry=entry, now=now, **more)


def the_log(sheet):
    return SessionLog.objects.get(sheet=sheet)


def test_the_first_set_opens_the_sheets_log_and_the_tape_says_who(sheet):
    key = uuid4()
    row = say(sheet, WRITTEN, key)
    log = the_log(sheet)
    assert (row.aside, log.key, log.done_on, log.status) == ("", sheet_key(sheet.uid), TUESDAY, "done")
    done = log.sets.get()
    assert (done.key, done.load, done.reps, done.as_written) == (key, 70_000, 8, True)
    act = Act.objects.latest("id")
    assert (act.source, act.actor, act.practice_id) == ("client", None, sheet.client.practice_id)
    assert MuscleWeek.objects.get(client=sheet.client, muscle="chest").sets == 1000


def test_the_same_again_is_the_same_row_and_another_payload_is_refused(sheet):
    key = uuid4()
    first = say(sheet, OTHER, key)
    assert say(sheet, OTHER, key, now=NOON + timedelta(days=400)) == first
    with pytest.raises(KeyReused):
        say(sheet, replace(OTHER, reps=8), key)
    assert (SetLog.objects.count(), PhoneEntry.objects.count()) == (1, 1)
    assert the_log(sheet).sets.get().reps == 7


def test_copies_in_any_order_from_two_phones_leave_each_thing_once(sheet):
    entries = [SetDone(f"1-{n}-1-b", reps=8 - n, load=70_000) for n in (1, 2, 3)]
    entries += [Hurt(None, 3), Rated(7, 55), Skipped("1-3-1-b", "")]
    sent = [(uuid4(), entry) for entry in entries[:3]]
    for key, entry in sent:
        say(sheet, entry, key)
    sent += [(uuid4(), entry) for entry in entries[3:]]
    copies = sent * 5
    Random(1).shuffle(copies)
    for key, entry in copies:
        if not isinstance(entry, Skipped):
            say(sheet, entry, key)
    log = the_log(sheet)
    assert sorted(log.sets.values_list("set_no", "reps")) == [(1, 7), (2, 6), (3, 5)]
    assert (log.rating, log.minutes) == (7, 55)
    assert PainReport.objects.get(source_uid=log.key).pain == 3
    assert PhoneEntry.objects.count() == 5


def test_two_phones_that_say_one_set_otherwise_keep_both_and_the_first_counts(sheet):
    say(sheet, WRITTEN)
    assert say(sheet, WRITTEN).aside == ""  # the same said twice is no contradiction
    second = say(sheet, OTHER)
    assert second.aside == "Set 1 was logged already: 70 kg x 8."
    assert second.payload["reps"] == 7
    assert the_log(sheet).sets.get().reps == 8


def test_what_the_coach_typed_from_paper_meanwhile_stands_and_gaps_are_filled(sheet):
    logged(sheet, steps=written_steps(sheet)[:2], key=sheet_key(sheet.uid), rating=8)
    assert say(sheet, SetDone("1-3-1-b", as_written=True)).aside == ""
    assert say(sheet, SetDone("1-2-1-b", reps=6)).aside.startswith("Set 2 was logged already")
    assert say(sheet, Rated(6)).aside == "It was written already: rating 8."
    log = the_log(sheet)
    assert (log.sets.count(), log.rating) == (3, 8)


def test_a_coach_who_types_the_paper_after_the_phone_is_told_and_nothing_is_lost(sheet):
    say(sheet, OTHER)
    with pytest.raises(KeyReused):
        logged(sheet, key=sheet_key(sheet.uid))
    assert the_log(sheet).sets.get().reps == 7


def test_a_set_is_corrected_over_the_version_that_was_seen(sheet, desk):
    say(sheet, WRITTEN)
    assert say(sheet, replace(OTHER, over=1)).aside == ""
    row = the_log(sheet).sets.get()
    assert (row.reps, row.load, row.rir, row.version) == (7, 72_500, 1.0, 2)
    edit_set(by=desk, set_log=row, version=2, values={"reps": 5}, now=NOON)
    stale = say(sheet, replace(OTHER, reps=9, over=2))
    assert stale.aside == "It was changed on the desk meanwhile: 72.5 kg x 5, RIR 1."
    assert the_log(sheet).sets.get().reps == 5


def test_a_set_that_was_not_done_is_taken_out_once(sheet):
    say(sheet, WRITTEN)
    assert say(sheet, SetCleared("1-1-1-b", 1)).aside == ""
    assert say(sheet, SetCleared("1-1-1-b", 1)).aside == ""
    assert not SetLog.objects.exists()
    assert say(sheet, replace(OTHER, over=1)).aside == "Set 1 was taken out on the desk meanwhile."


def test_undoing_on_the_desk_does_not_make_a_replay_new(sheet, desk):
    key = uuid4()
    say(sheet, WRITTEN, key)
    undo(Act.objects.latest("id"), by=desk)
    assert not SessionLog.objects.exists()
    say(sheet, WRITTEN, key)
    assert not SessionLog.objects.exists()


def test_sides_and_sets_beyond_the_sheet(sheet):
    say(sheet, SetDone("1-1-1-l", reps=8))
    say(sheet, SetDone("1-1-1-r", reps=6))
    assert say(sheet, WRITTEN).aside == "Set 1 was logged already, one side apart: 70 kg x 8."
    say(sheet, SetDone("1-4-1-b", reps=5, load=60_000))
    say(sheet, SetDone("1-3-2-b", reps=3, load=60_000))
    rows = the_log(sheet).sets.order_by("set_no", "step_no", "side")
    assert [(r.set_no, r.step_no, r.side, r.planned_load) for r in rows] == [
        (1, 1, "l", 70_000), (1, 1, "r", 70_000), (3, 2, "b", None), (4, 1, "b", None)
    ]  # fmt: skip
    with pytest.raises(ValidationError, match="Type the load"):
        say(sheet, SetDone("1-5-1-b", reps=5))


@pytest.mark.parametrize(
    "slot", ["", "1", "2-1-1-b", "1-0-1-b", "1-31-1-b", "1-1-21-b", "1-1-1-x", "9" * 30, "1-2-0-b"]
)
def test_places_that_no_sheet_has_are_refused_and_leave_nothing(sheet, slot):
    with pytest.raises(ValidationError):
        say(sheet, SetDone(slot, reps=5, load=60_000))
    assert not SessionLog.objects.exists()
    assert not PhoneEntry.objects.exists()


def test_a_skipped_session_says_why_and_can_be_done_after_all(sheet):
    say(sheet, Skipped("", "ill"))
    assert (the_log(sheet).status, the_log(sheet).skipped_why) == ("skipped", "ill")
    assert say(sheet, Skipped("", "travelling")).aside == "It was skipped already: ill."
    with pytest.raises(ValidationError, match="take that back first"):
        say(sheet, Rated(5))
    say(sheet, WRITTEN)
    assert (the_log(sheet).status, the_log(sheet).sets.count()) == ("done", 1)


def test_a_session_that_was_only_rated_and_then_skipped_counts_no_more(sheet):
    """What flags know of the client's days follows at once."""
    say(sheet, Rated(7, 50))
    assert list(TrainingFacts.objects.get().value["days"]) == [TUESDAY.isoformat()]
    say(sheet, Skipped("", "had to leave"))
    assert the_log(sheet).status == "skipped"
    assert derived(sheet.client) == worked_anew(sheet.client)
    assert not TrainingFacts.objects.exists()


def test_the_rest_of_a_session_an_exercise_or_a_set_is_left_out_with_its_reason(sheet):
    say(sheet, WRITTEN)
    say(sheet, Skipped("1-2-1-b", "elbow"))
    say(sheet, Skipped("", "had to leave"))
    assert dict(Departure.objects.values_list("place", "why")) == {"1-2-1-b": "elbow", "": "had to leave"}
    with pytest.raises(ValidationError, match="This set is logged"):
        say(sheet, Skipped("1-1-1-b", "no"))
    say(sheet, SetDone("1-2-1-b", as_written=True))
    assert not Departure.objects.exists()


def test_a_swap_is_one_of_those_offered_and_carries_effort_but_never_the_load(desk):
    press = ExerciseFactory(practice=desk.practice, name="Bench press")
    other = ExerciseFactory(practice=desk.practice, name="Floor press")
    rowing = ExerciseFactory(
        practice=desk.practice, name="Row", pattern="horizontal_pull", muscles={"lats": 1000, "biceps": 500}
    )
    sheet = IssuedSheetFactory(client=ClientFactory(coach=desk), exercises=[exercise_body(press)])
    with pytest.raises(ValidationError, match="not among those"):
        say(sheet, Swapped(1, rowing.pk))
    say(sheet, Swapped(1, other.pk, "rack taken"))
    with pytest.raises(ValidationError, match="Type the load"):
        say(sheet, SetDone("1-1-1-b", reps=8))
    with pytest.raises(ValidationError, match="gives no number"):
        say(sheet, WRITTEN)
    say(sheet, SetDone("1-1-1-b", reps=8, load=50_000, rir=2.0))
    row = the_log(sheet).sets.get()
    assert (row.exercise, row.planned_load, row.planned_reps, row.planned_rir) == (other, None, 8, 2.0)
    assert session_page(the_log(sheet)).groups[0][0] == "Floor press, instead of Bench press: rack taken"
    say(sheet, Swapped(1, None))
    assert not Departure.objects.exists()


def test_pain_of_an_exercise_is_of_one_that_was_done(sheet):
    with pytest.raises(ValidationError, match="Log a set of it first"):
        say(sheet, Hurt(1, 4))
    say(sheet, WRITTEN)
    say(sheet, Hurt(1, 4))
    assert say(sheet, Hurt(1, 6)).aside == "Pain was written already: 4."
    assert say(sheet, Hurt(1, 6, over=1)).aside == ""
    report = PainReport.objects.get()
    assert (report.pain, report.exercise_id, report.on) == (6, the_log(sheet).sets.get().exercise_id, TUESDAY)


def test_a_message_reaches_the_coach_once_and_without_a_session(sheet):
    key = uuid4()
    for _ in range(3):
        record_entry(client=sheet.client, sheet=None, key=key, entry=Said("Knee feels fine\x00"), now=NOON)
    row = ClientMessage.objects.get()
    assert (row.text, row.answer, row.sheet, row.client) == ("Knee feels fine", "", None, sheet.client)
    assert not SessionLog.objects.exists()
    with pytest.raises(ValidationError, match="belongs to a session"):
        record_entry(client=sheet.client, sheet=None, key=uuid4(), entry=WRITTEN, now=NOON)


# Civil days where the client is; Auckland is 13 hours ahead of UTC in November (IANA time zone database).
@pytest.mark.parametrize(
    ("now", "ago_s", "day"),
    [
        (NOON, 0, date(2026, 11, 25)),  # 01:00 on Wednesday in Auckland
        (NOON + timedelta(days=2), 2 * 86_400, date(2026, 11, 25)),
        (NOON + timedelta(days=2), 2 * 86_400 + 7200, date(2026, 11, 24)),  # before the sheet was issued
        (NOON + timedelta(days=2), -1, date(2026, 11, 24)),
        (NOON + timedelta(days=2), 1e12, date(2026, 11, 24)),
        (NOON - timedelta(hours=2), 0, date(2026, 11, 24)),  # a server whose clock was set back
    ],
)
def test_the_day_is_the_clients_own_and_no_device_clock_is_believed(sheet, now, ago_s, day):
    sheet.client.time_zone = "Pacific/Auckland"
    sheet.client.save()
    assert say(sheet, WRITTEN, now=now, ago_s=ago_s).done_on == day
    assert the_log(sheet).done_on == day


def test_the_sheet_counts_when_the_plan_is_gone(sheet):
    say(sheet, WRITTEN)
    sheet.planned_session = None
    sheet.save()
    assert say(sheet, SetDone("1-2-1-b", as_written=True)).aside == ""
    assert the_log(sheet).sets.count() == 2


def test_another_clients_key_is_no_key_of_mine(sheet, desk):
    key, other = uuid4(), IssuedSheetFactory(client=ClientFactory(coach=desk))
    say(sheet, WRITTEN, key)
    say(other, WRITTEN, key)
    assert SetLog.objects.filter(key=key).count() == 2


def test_the_log_of_a_sheet_is_found_by_a_paper_log_too(sheet):
    say(sheet, WRITTEN)
    with pytest.raises(KeyReused):
        record_session_log(
            by=sheet.client.coach, client=sheet.client, sheet=sheet, key=sheet_key(sheet.uid), done_on=TUESDAY,
            steps=written_steps(sheet), now=datetime(2026, 11, 24, 13, tzinfo=UTC),
        )  # fmt: skip


def test_what_is_left_of_a_begun_exercise_is_left_out_set_by_set_and_taken_back(sheet):
    say(sheet, WRITTEN)
    say(sheet, Skipped("1", "elbow"))
    assert set(Departure.objects.values_list("place", "why")) == {("1-2-1-b", "elbow"), ("1-3-1-b", "elbow")}
    say(sheet, Skipped("1", ""))
    assert not Departure.objects.exists()
