"""Stacks differ from place to place: what was seen on one is not mixed with another's, and a coach sees which."""

from datetime import date, datetime
from importlib import import_module

import pytest
from django.apps import apps
from django.test import Client as Browser

from clients.models import Client, Place
from coachdesk.practice.models import Membership
from programs.models import Exercise, StrengthEstimate, StrengthObservation
from programs.selectors import program_view, session_view
from programs.services import issue_sheet, record_test
from tests.factories.clients import KG_STACK, ClientFactory, EquipmentFactory, PlaceFactory, ScreeningFactory
from tests.factories.logs import logged
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory, scheme_json

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("library")]

TODAY = date(2026, 11, 23)


@pytest.fixture
def pulldown() -> Exercise:
    return Exercise.objects.get(code="lat_pulldown", practice=None)


@pytest.fixture
def gym(desk: Membership) -> Place:
    return _place(desk, "Full gym")


@pytest.fixture
def hotel(desk: Membership) -> Place:
    return _place(desk, "Hotel")


@pytest.fixture
def nora(desk: Membership, gym: Place) -> Client:
    made = ClientFactory(coach=desk, name="Nora", place=gym)
    ScreeningFactory(client=made)
    return made


def _place(desk: Membership, name: str) -> Place:
    made = PlaceFactory(practice=desk.practice, name=name)
    EquipmentFactory(place=made, value=KG_STACK)
    return made


def planned(client: Client, exercise: Exercise, place: Place | None = None, day: int = 0):  # type: ignore[no-untyped-def]
    program = client.programs.first() or ProgramFactory(coach=client.coach, client=client)
    session = PlannedSessionFactory(program=program, place=place, day=day)
    PlannedExerciseFactory(session=session, exercise=exercise, scheme=scheme_json(sets="1", load_value="75", reps="8"))
    return session


def load_at(client: Client, session) -> int | None:  # type: ignore[no-untyped-def]
    return session_view(session, client=client, on=TODAY).exercises[0].steps[0].load


def test_each_place_prescribes_from_its_own_machine(
    desk: Membership, nora: Client, pulldown: Exercise, gym: Place, hotel: Place
) -> None:
    record_test(by=desk, client=nora, exercise=pulldown, load=80_000, unit="kg", reps=1, on=TODAY)
    record_test(by=desk, client=nora, exercise=pulldown, load=50_000, unit="kg", reps=1, on=TODAY, place=hotel)
    assert StrengthEstimate.objects.count() == 2
    assert load_at(nora, planned(nora, pulldown)) == 60_000
    assert load_at(nora, planned(nora, pulldown, hotel)) == 37_500


def test_another_places_machine_serves_where_nothing_else_is_known_and_is_flagged(
    desk: Membership, nora: Client, pulldown: Exercise, hotel: Place
) -> None:
    record_test(by=desk, client=nora, exercise=pulldown, load=80_000, unit="kg", reps=1, on=TODAY)
    session = planned(nora, pulldown, hotel)
    assert load_at(nora, session) == 60_000
    view = program_view(session.block.program, client=nora, on=TODAY)
    assert "other_machine" in {flag.code for flag in view.flags}
    record_test(by=desk, client=nora, exercise=pulldown, load=50_000, unit="kg", reps=1, on=TODAY, place=hotel)
    view = program_view(session.block.program, client=nora, on=TODAY)
    assert "other_machine" not in {flag.code for flag in view.flags}


def test_a_log_speaks_of_the_machine_of_its_sheet(
    desk: Membership, nora: Client, pulldown: Exercise, hotel: Place, now: datetime
) -> None:
    record_test(by=desk, client=nora, exercise=pulldown, load=50_000, unit="kg", reps=1, on=TODAY, place=hotel)
    sheet = issue_sheet(by=desk, session=planned(nora, pulldown, hotel), now=now, why="Looked at.")
    assert sheet.body["exercises"][0]["machine"] == f"place:{hotel.pk}"
    logged(sheet)
    assert set(StrengthObservation.objects.values_list("machine", flat=True)) == {f"place:{hotel.pk}"}


def test_free_weights_are_alike_everywhere(desk: Membership, nora: Client, hotel: Place) -> None:
    squat = Exercise.objects.get(code="back_squat", practice=None)
    record_test(by=desk, client=nora, exercise=squat, load=80_000, unit="kg", reps=1, on=TODAY, place=hotel)
    assert StrengthObservation.objects.get().machine == ""


def test_a_coach_sees_whose_machine_and_says_it(
    as_coach: Browser, nora: Client, pulldown: Exercise, hotel: Place
) -> None:
    url = f"/clients/{nora.pk}/strength/"
    data = {"exercise": pulldown.pk, "load": "50", "unit": "kg", "reps": "1", "on": "2026-11-23", "place": hotel.pk}
    assert as_coach.post(url, data).status_code == 302
    assert as_coach.post(url, {**data, "load": "80", "place": ""}).status_code == 302
    page = as_coach.get(url).content.decode()
    assert "Lat pulldown, Hotel" in page
    assert "Lat pulldown, Full gym" in page
    trends = as_coach.get(f"/clients/{nora.pk}/trends/").content.decode()
    assert "Lat pulldown, Hotel" in trends
    stranger = PlaceFactory()
    assert as_coach.post(url, {**data, "place": stranger.pk}).status_code == 422


def test_what_was_seen_before_counts_as_seen_at_the_clients_own_place(
    desk: Membership, nora: Client, pulldown: Exercise, gym: Place
) -> None:
    squat = Exercise.objects.get(code="back_squat", practice=None)
    for exercise in (pulldown, squat):
        record_test(by=desk, client=nora, exercise=exercise, load=80_000, unit="kg", reps=1, on=TODAY)
    StrengthObservation.objects.update(machine="")
    StrengthEstimate.objects.update(machine="")
    import_module("programs.migrations.0012_stacks_by_place").place(apps, None)
    machines = dict(StrengthEstimate.objects.values_list("exercise__code", "machine"))
    assert machines == {"lat_pulldown": f"place:{gym.pk}", "back_squat": ""}
    assert set(StrengthObservation.objects.values_list("machine", flat=True)) == {f"place:{gym.pk}", ""}
