"""A session that no sheet planned, and an exercise done besides: logged, replayed, undone and counted."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from programs.logs import services
from programs.logs.models import ExerciseWeek, MuscleWeek, SessionLog, SetLog
from programs.logs.services.session_logs import subject_of
from programs.models import StrengthEstimate, StrengthObservation
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, logged, written_steps
from tests.factories.practice import PracticeFactory
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


@pytest.fixture
def client(desk):
    return ClientFactory(coach=desk, name="Amara Tolledo")


@pytest.fixture
def row(desk):
    return ExerciseFactory(name="Chest-supported row", muscles={"upper_back": 1000, "biceps": 500})


@pytest.fixture
def log(client, desk):
    return services.open_session_log(by=desk, client=client, key=uuid4(), done_on=TUESDAY, now=NOON)


def sessions(client):
    return reverse("logs:client_sessions", args=[client.pk])


def unplanned(client):
    return reverse("logs:unplanned_session", args=[client.pk])


def detail(log):
    return reverse("logs:session_log_detail", args=[log.pk])


def head(**fields):
    return {"key": str(uuid4()), "done_on": "2026-11-24", "note": "Hotel gym", **fields}


def add(browser, log, name, first="80 x 8 @2", position=1):
    typed = {"exercise": name, "first": first, "position": str(position)}
    return browser.post(reverse("logs:extra_exercise", args=[log.pk]), typed)


def further(browser, log, slot, **cells):
    typed = {"slot": slot, "load": "", "reps": "", "rir": "", **cells}
    return browser.post(reverse("logs:set_log", args=[log.pk]), typed, headers=HTMX)


def sums(client):
    muscles = MuscleWeek.objects.filter(client=client).values_list("monday", "muscle", "sets", "volume_kg")
    exercises = ExerciseWeek.objects.filter(client=client).values_list("monday", "exercise", "sets", "reps")
    return sorted(muscles), sorted(exercises)


def test_a_session_without_a_sheet_is_one_act_and_leads_to_its_page(as_coach, client):
    assert unplanned(client) in as_coach.get(sessions(client)).content.decode()
    assert 'value="2026-11-24"' in as_coach.get(unplanned(client)).content.decode()
    answer = as_coach.post(unplanned(client), head())
    log = SessionLog.objects.get()
    assert answer.url == detail(log) + "#extra-exercise"
    assert (log.client, log.sheet, log.status, log.done_on, log.note) == (client, None, "done", TUESDAY, "Hotel gym")
    assert Act.objects.filter(subject=subject_of(log.key)).count() == 1
    assert 'id="extra-exercise"' in as_coach.get(detail(log)).content.decode()


def test_sent_twice_it_is_one_session_and_another_text_is_refused(as_coach, client):
    typed = head()
    first = as_coach.post(unplanned(client), typed)
    assert as_coach.post(unplanned(client), typed).url == first.url
    assert as_coach.post(unplanned(client), {**typed, "note": "Park"}).status_code == 422
    assert SessionLog.objects.count() == 1


@pytest.mark.parametrize(
    "wrong",
    [{"done_on": "2026-11-25"}, {"done_on": "1999-12-31"}, {"done_on": ""}, {"done_on": "x"}, {"key": "x"},
     {"note": "x" * 2001}],
)  # fmt: skip
def test_a_wrong_head_keeps_what_was_typed(as_coach, client, wrong):
    answer = as_coach.post(unplanned(client), head(**wrong))
    assert answer.status_code == 422
    assert "Hotel gym" in answer.content.decode() or "note" in wrong
    assert not SessionLog.objects.exists()


def test_the_day_is_the_clients_own(as_coach, client):
    client.time_zone = "Pacific/Auckland"
    client.save()
    assert as_coach.post(unplanned(client), head(done_on="2026-11-25")).status_code == 302
    assert SessionLog.objects.get().done_on == TUESDAY + timedelta(days=1)


def test_an_archived_client_gets_none(as_coach, client):
    client.archived_on = TUESDAY
    client.save()
    assert unplanned(client) not in as_coach.get(sessions(client)).content.decode()
    answer = as_coach.post(unplanned(client), head())
    assert answer.status_code == 422
    assert "was archived" in answer.content.decode()
    assert not SessionLog.objects.exists()


def test_who_may(as_assistant, as_stranger, client, log, row):
    assert unplanned(client) not in as_assistant.get(sessions(client)).content.decode()
    assert "extra-exercise" not in as_assistant.get(detail(log)).content.decode()
    assert as_assistant.post(unplanned(client), head()).status_code == 403
    assert add(as_assistant, log, row.name).status_code == 403
    assert as_stranger.post(unplanned(client), head()).status_code == 404
    assert add(as_stranger, log, row.name).status_code == 404
    assert (SessionLog.objects.count(), SetLog.objects.count()) == (1, 0)


def test_an_exercise_is_added_with_its_first_set_and_the_next_row_waits(as_coach, as_assistant, log, row):
    answer = add(as_coach, log, "chest-supported ROW")
    assert answer.url == detail(log) + "#set-1-2-1-b-load"
    one = log.sets.get()
    assert (one.exercise, one.load, one.reps, one.rir, one.position, one.set_no) == (row, 80_000, 8, 2.0, 1, 1)
    assert (one.planned_load, one.planned_reps, one.failed) == (None, None, False)
    page = as_coach.get(detail(log)).content.decode()
    assert "1 set done" in page
    assert 'id="set-1-2-1-b-load"' in page
    assert 'name="position" value="2"' in page
    assert 'id="set-1-2-1-b"' not in as_assistant.get(detail(log)).content.decode()


def test_further_sets_are_typed_in_rows_and_bring_the_next(as_coach, log, row):
    add(as_coach, log, row.name)
    answer = further(as_coach, log, "1-2-1-b", reps="82.5 x 6 @0")
    page = answer.content.decode()
    assert answer.status_code == 200
    assert page.index('<tr id="set-1-2-1-b"') < page.index('<tr id="set-1-3-1-b"')
    two = log.sets.get(set_no=2)
    assert (two.exercise, two.load, two.reps, two.rir, two.failed) == (row, 82_500, 6, 0.0, True)
    assert further(as_coach, log, "1-2-1-b", reps="82.5 x 6 @0").status_code == 200
    assert further(as_coach, log, "1-2-1-b", reps="82.5 x 7 @0").status_code == 422
    assert further(as_coach, log, "1-3-1-b", reps="8").status_code == 422
    assert log.sets.count() == 2


@pytest.mark.parametrize("slot", ["2-1-1-b", "1-0-1-b", "1-100-1-b", "1-2-2-b", "1-2-1-x", "", "\x00", "9" * 99])
def test_a_row_that_is_not_there_is_refused(as_coach, log, row, slot):
    add(as_coach, log, row.name)
    assert further(as_coach, log, slot, reps="80 x 8").status_code == 422
    assert log.sets.count() == 1


def test_an_added_exercise_stands_behind_the_planned_ones(as_coach, desk, row):
    sheet = IssuedSheetFactory(client=ClientFactory(coach=desk))
    log = logged(sheet, steps=written_steps(sheet)[:2])
    assert 'name="position" value="2"' in as_coach.get(detail(log)).content.decode()
    assert add(as_coach, log, row.name, position=2).status_code == 302
    page = as_coach.get(detail(log)).content.decode()
    assert "2 of 3 sets done, 1 more not planned" in page
    assert page.index('id="set-1-3-1-b"') < page.index('id="set-2-1-1-b"') < page.index('id="set-2-2-1-b"')
    assert 'id="set-1-4-1-b"' not in page
    assert "unplanned" in page


def test_added_twice_it_stands_once_and_another_goes_behind_it(as_coach, log, row):
    squat = ExerciseFactory(name="Box squat")
    assert add(as_coach, log, row.name).url == add(as_coach, log, row.name).url
    answer = add(as_coach, log, squat.name)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "Another exercise was added meanwhile" in page
    assert 'value="Box squat"' in page
    assert 'name="position" value="2"' in page
    assert add(as_coach, log, squat.name, position=2).status_code == 302
    assert list(log.sets.order_by("position").values_list("exercise__name", flat=True)) == [row.name, squat.name]


@pytest.mark.parametrize(
    ("name", "first", "position"),
    [
        ("Chest-supported row", "", 1), ("Chest-supported row", "8", 1), ("Chest-supported row", "-", 1),
        ("Chest-supported row", "80 x 0", 1), ("Chest-supported row", "-5 x 8", 1), ("", "80 x 8", 1),
        ("Chest-supported row", "80 x 8 @11", 1), ("Chest-supported row", "80 x 8", 0), ("Nothing", "80 x 8", 1),
        ("Chest-supported row", "80 x 8", 7), ("Chest-supported row", "80 x 8", "x"), ("\x00", "80 x 8", 1),
        ("x" * 1000, "80 x 8", 1), ("Chest-supported row", "8" * 1000, 1), ("Chest-supported row", "80 x 8", 10**30),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_and_kept(as_coach, log, row, name, first, position):
    answer = add(as_coach, log, name, first, position)
    assert answer.status_code == 422
    assert 'class="error' in answer.content.decode()
    assert not SetLog.objects.exists()


def test_another_practices_exercise_is_not_known(as_coach, log):
    theirs = ExerciseFactory(name="Their own press", practice=PracticeFactory())
    answer = add(as_coach, log, theirs.name)
    assert answer.status_code == 422
    assert "is not in the exercise library" in answer.content.decode()
    assert not SetLog.objects.exists()


def test_a_skipped_session_gets_no_exercise(as_coach, desk, client, row):
    sheet = IssuedSheetFactory(client=client)
    log = services.skip_session(by=desk, sheet=sheet, key=uuid4(), skipped_why="ill", on=TUESDAY, now=NOON)
    assert "extra-exercise" not in as_coach.get(detail(log)).content.decode()
    assert add(as_coach, log, row.name, position=2).status_code == 422
    assert not SetLog.objects.exists()


def test_sums_and_evidence_follow_and_equal_a_recomputation(as_coach, client, log, row):
    add(as_coach, log, row.name)
    further(as_coach, log, "1-2-1-b", reps="80 x 7 @1")
    # Two hard sets: upper back directly 2, biceps indirectly 1 (direct + half of indirect: Pelland 2025, as reported).
    sets = dict(MuscleWeek.objects.filter(client=client).values_list("muscle", "sets"))
    assert sets == {"upper_back": 2000, "biceps": 1000}
    told = StrengthObservation.objects.filter(source_uid=log.key, exercise=row, lower_bound=False)
    assert sorted(told.values_list("load", "reps", "rir")) == [(80_000, 7, 1.0), (80_000, 8, 2.0)]
    before = sums(client), StrengthEstimate.objects.get(client=client, exercise=row).mean_kg
    services.refresh_client(client.pk)
    after = sums(client), StrengthEstimate.objects.get(client=client, exercise=row).mean_kg
    assert before[0] == after[0]
    assert before[1] == pytest.approx(after[1])


def test_undo_takes_back_set_by_set_and_then_the_session(as_coach, client, log, row):
    add(as_coach, log, row.name)
    further(as_coach, log, "1-2-1-b", reps="80 x 7 @1")
    undo = reverse("logs:session_log_undo", args=[log.pk])
    counts = []
    for _ in range(2):
        assert as_coach.post(undo).url == detail(log)
        counts.append(log.sets.count())
    assert counts == [1, 0]
    assert sums(client) == ([], [])
    assert not StrengthObservation.objects.filter(source_uid=log.key).exists()
    assert as_coach.post(undo).url == sessions(client)
    assert not SessionLog.objects.exists()


def test_body_weight_without_a_load_is_the_body_alone(as_coach, client, log):
    client.body_mass = 80_000
    client.save()
    pull_up = ExerciseFactory(name="Pull-up", equipment_kind="bodyweight", body_share=1000, spotter=False)
    add(as_coach, log, pull_up.name, "8 @2")
    one = log.sets.get()
    assert (one.load, one.body_load, one.reps) == (0, 80_000, 8)
    assert StrengthObservation.objects.get(source_uid=log.key).body_load == 80_000


def test_the_last_set_cleared_takes_the_exercise_off_the_page(as_coach, log, row):
    add(as_coach, log, row.name)
    one = log.sets.get()
    cells = {"load": "", "reps": "", "rir": "", "version": "1"}
    answer = as_coach.post(reverse("logs:set_edit", args=[one.pk]), cells, headers=HTMX)
    assert (answer.status_code, answer.headers["HX-Refresh"]) == (200, "true")
    assert not log.sets.exists()
    assert add(as_coach, log, row.name).status_code == 302
