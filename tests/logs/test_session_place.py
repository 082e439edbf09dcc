"""What a session that no sheet planned is called, and where it was: in its form, its lists, its corrections."""

from importlib import import_module
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.urls import reverse

from clients.models import Equipment
from clients.services import edit_client
from programs.logs import services
from programs.logs.models import SessionLog
from programs.logs.selectors import drifted_weeks
from programs.models import StrengthObservation, TrainingFacts
from programs.services import remove_session
from programs.services.sessions import edit_session
from tests.factories.clients import ClientFactory, PlaceFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, exercise_body, logged, straight_sets
from tests.factories.practice import PracticeFactory
from tests.factories.programs import ExerciseFactory, PlannedSessionFactory, ProgramFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def gym(desk):
    return PlaceFactory(practice=desk.practice, name="Full gym")


@pytest.fixture
def hotel(desk):
    return PlaceFactory(practice=desk.practice, name="Hotel Lisboa")


@pytest.fixture
def client(desk, gym):
    return ClientFactory(coach=desk, name="Amara Tolledo", place=gym)


@pytest.fixture
def log(client, desk, hotel):
    return services.open_session_log(
        by=desk, client=client, key=uuid4(), done_on=TUESDAY, now=NOON, name="Hotel session", place=hotel
    )


@pytest.fixture
def press(desk):
    return ExerciseFactory(practice=desk.practice, name="Leg press", equipment_kind=Equipment.Kind.STACK)


def page(browser, name, row):
    return browser.get(reverse(f"logs:{name}", args=[row.pk])).content.decode()


def typed(**fields):
    return {"key": str(uuid4()), "done_on": "2026-11-24", "note": "", **fields}


def corrected(log, **fields):
    kept = {"done_on": "2026-11-24", "minutes": "", "rating": "", "note": "", "name": log.name}
    return {**kept, "place": log.place_id or "", "version": log.version, **fields}


def add_press(browser, log):
    sent = {"exercise": "Leg press", "first": "120 x 8 @2", "position": "1"}
    assert browser.post(reverse("logs:extra_exercise", args=[log.pk]), sent).status_code == 302


def machines(client):
    return set(StrengthObservation.objects.filter(client=client).values_list("machine", flat=True))


def test_name_and_place_are_typed_and_shown_everywhere(as_coach, client, hotel):
    url = reverse("logs:unplanned_session", args=[client.pk])
    assert "Hotel Lisboa" in as_coach.get(url).content.decode()
    answer = as_coach.post(url, typed(name="Hotel session", place=hotel.pk))
    log = SessionLog.objects.get()
    assert answer.status_code == 302
    assert (log.name, log.place) == ("Hotel session", hotel)
    assert "Hotel session, Hotel Lisboa" in page(as_coach, "client_sessions", client)
    detail = page(as_coach, "session_log_detail", log)
    assert "<h1" in detail
    assert "Hotel session, Amara Tolledo" in detail
    assert "at Hotel Lisboa." in detail
    month = as_coach.get(reverse("programs:client_calendar", args=[client.pk])).content.decode()
    assert "Hotel session" in month


def test_without_a_name_it_is_a_session_at_the_usual_place(as_coach, client):
    as_coach.post(reverse("logs:unplanned_session", args=[client.pk]), typed())
    log = SessionLog.objects.get()
    assert (log.name, log.place, log.title, log.where_id) == ("", None, "Session", client.place_id)


@pytest.mark.parametrize("place", ["x", "0", "-1", str(2**63), "1\x00"])
def test_a_place_that_is_none_keeps_what_was_typed(as_coach, client, place):
    answer = as_coach.post(reverse("logs:unplanned_session", args=[client.pk]), typed(name="Hotel", place=place))
    assert answer.status_code == 422
    assert 'value="Hotel"' in answer.content.decode()
    assert not SessionLog.objects.exists()


def test_a_place_of_another_practice_is_no_place(as_coach, client, desk, log):
    other = PlaceFactory(practice=PracticeFactory(), name="Elsewhere")
    url = reverse("logs:unplanned_session", args=[client.pk])
    assert "Elsewhere" not in as_coach.get(url).content.decode()
    assert as_coach.post(url, typed(place=other.pk)).status_code == 422
    edit = reverse("logs:session_log_edit", args=[log.pk])
    assert as_coach.post(edit, corrected(log, place=other.pk)).status_code == 422
    with pytest.raises(ValidationError, match="no place of this practice"):
        services.edit_session_log(by=desk, session_log=log, version=1, values={"place": other}, now=NOON)
    with pytest.raises(ValidationError, match="no place of this practice"):
        services.open_session_log(by=desk, client=client, key=uuid4(), done_on=TUESDAY, now=NOON, place=other)


@pytest.mark.parametrize("name", ["x" * 81, "a" + "\u0301" * 12])
def test_a_name_that_cannot_be_kept_is_said(as_coach, client, name):
    answer = as_coach.post(reverse("logs:unplanned_session", args=[client.pk]), typed(name=name))
    assert answer.status_code == 422
    assert not SessionLog.objects.exists()


def test_sent_again_with_another_place_it_is_refused(as_coach, client, hotel):
    url, sent = reverse("logs:unplanned_session", args=[client.pk]), typed(name="Hotel", place=hotel.pk)
    assert as_coach.post(url, sent).status_code == 302
    assert as_coach.post(url, sent).status_code == 302
    assert as_coach.post(url, {**sent, "place": ""}).status_code == 422
    assert as_coach.post(url, {**sent, "name": "Park"}).status_code == 422
    assert SessionLog.objects.count() == 1


def test_machines_are_those_of_the_place(as_coach, client, log, press, hotel, gym):
    add_press(as_coach, log)
    assert machines(client) == {f"place:{hotel.pk}"}
    facts = TrainingFacts.objects.get(client=client).value
    assert facts["lifts"][str(press.pk)]["places"] == [hotel.pk]
    # Corrected, its sets speak for the other machine, and an undo brings the first back.
    edit = reverse("logs:session_log_edit", args=[log.pk])
    assert as_coach.post(edit, corrected(log, place="", name="Gym after all")).status_code == 302
    assert machines(client) == {f"place:{gym.pk}"}
    assert set(client.strength_estimates.values_list("machine", flat=True)) == {f"place:{gym.pk}"}
    as_coach.post(reverse("logs:session_log_undo", args=[log.pk]))
    assert machines(client) == {f"place:{hotel.pk}"}


def test_a_correction_says_from_which_place_to_which(as_coach, client, log, gym):
    edit = reverse("logs:session_log_edit", args=[log.pk])
    as_coach.post(edit, corrected(log, name="Lunch", place=gym.pk))
    told = page(as_coach, "session_log_changes", log)
    assert "name Hotel session to Lunch" in told
    assert "place Hotel Lisboa to Full gym" in told


def test_two_who_correct_name_and_place_both_keep_theirs(as_coach, log, gym):
    edit = reverse("logs:session_log_edit", args=[log.pk])
    stale = corrected(log, name="Lunch")
    as_coach.post(edit, corrected(log, place=gym.pk))
    assert as_coach.post(edit, stale).status_code == 302
    log.refresh_from_db()
    assert (log.name, log.place) == ("Lunch", gym)
    answer = as_coach.post(edit, {**stale, "name": "Supper"})
    assert answer.status_code == 409
    assert "Supper" in answer.content.decode()


def test_a_session_from_a_sheet_keeps_what_the_sheet_says(as_coach, client, gym):
    log = logged(IssuedSheetFactory(client=client))
    detail = page(as_coach, "session_log_detail", log)
    assert 'name="place"' not in detail
    edit = reverse("logs:session_log_edit", args=[log.pk])
    as_coach.post(edit, corrected(log, name="Other", place=gym.pk))
    log.refresh_from_db()
    assert (log.name, log.place, log.title) == ("", None, "Upper A")


def test_a_place_that_goes_leaves_the_session(log, hotel):
    hotel.delete()
    log.refresh_from_db()
    assert (log.place, log.where_id) == (None, log.client.place_id)


def test_who_trains_elsewhere_now_leaves_what_was_done_where_it_was(as_coach, desk, client, gym, hotel, press):
    """A set of old that is corrected after the client moved still speaks for the machine it was done on."""
    log = services.open_session_log(by=desk, client=client, key=uuid4(), done_on=TUESDAY, now=NOON)
    add_press(as_coach, log)
    assert machines(client) == {f"place:{gym.pk}"}
    edit_client(by=desk, client=client, version=1, now=NOON, place=hotel)
    row = log.sets.get()
    services.edit_set(by=desk, set_log=row, version=1, values={"reps": 9}, now=NOON)
    services.refresh_client(client.pk)
    assert machines(client) == {f"place:{gym.pk}"}
    log = SessionLog.objects.get()
    assert log.where == gym
    assert not drifted_weeks(client)


def test_a_plan_that_moves_or_goes_leaves_what_was_logged_from_it_where_it_was(desk, client, gym, hotel, press):
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), place=hotel)
    body = exercise_body(press, steps=straight_sets(2))
    logged(IssuedSheetFactory(client=client, planned_session=session, exercises=[body]), by=desk)
    assert machines(client) == {f"place:{hotel.pk}"}
    lifts = TrainingFacts.objects.get(client=client).value["lifts"]
    edit_session(by=desk, session=session, version=1, values={"place": gym})
    services.refresh_client(client.pk)
    assert machines(client) == {f"place:{hotel.pk}"}
    remove_session(by=desk, session=session)
    services.refresh_client(client.pk)
    assert machines(client) == {f"place:{hotel.pk}"}
    assert TrainingFacts.objects.get(client=client).value["lifts"] == lifts
    assert lifts[str(press.pk)]["places"] == [hotel.pk]


def test_sessions_from_before_keep_the_place_they_had(desk, client, gym, hotel):
    """What the migration writes down is what pages said until then: the plan's place, else the client's."""
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), place=hotel)
    planned = logged(IssuedSheetFactory(client=client, planned_session=session), by=desk)
    bare = services.open_session_log(by=desk, client=client, key=uuid4(), done_on=TUESDAY, now=NOON)
    homeless = services.open_session_log(
        by=desk, client=ClientFactory(coach=desk), key=uuid4(), done_on=TUESDAY, now=NOON
    )
    SessionLog.objects.update(usual_place=None)
    import_module("programs.logs.migrations.0014_where_a_session_usually_was").as_it_stands(apps, None)
    found = dict(SessionLog.objects.values_list("pk", "usual_place"))
    assert found == {planned.pk: hotel.pk, bare.pk: gym.pk, homeless.pk: None}
