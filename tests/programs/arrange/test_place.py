"""A session's own place: another bar, other plates or none re-prescribe loads and warm-ups, in the editor and on the
sheet."""

import pytest
from django.urls import reverse

from clients.models import Client, Place
from coachdesk.engine import Barbell, Stack
from coachdesk.practice.models import Membership
from programs import services
from programs.models import IssuedSheet, PlannedExercise, PlannedSession
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

pytestmark = pytest.mark.django_db
# Only heavy plates: between 20 and 60 kg nothing can be made, and 80 % of 100 kg is not one of its loads.
COARSE = Barbell("old bar", "kg", 20000, ((20000, 4),))
FINE = Barbell("new bar", "kg", 20000, ((20000, 2), (10000, 4), (5000, 2), (2500, 2), (1250, 2)))


@pytest.fixture
def hall(desk: Membership) -> Place:
    place = PlaceFactory(practice=desk.practice, name="Hall")
    EquipmentFactory(place=place, value=FINE)
    return place


@pytest.fixture
def cellar(desk: Membership) -> Place:
    place = PlaceFactory(practice=desk.practice, name="Cellar")
    EquipmentFactory(place=place, value=COARSE)
    return place


@pytest.fixture
def planned(desk: Membership, hall: Place) -> PlannedExercise:
    """A press at 75 % for a client with a 1RM of 100 kg, in the hall."""
    client: Client = ClientFactory(coach=desk, place=hall, level="advanced", born_on=None)
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), name="Upper")
    row: PlannedExercise = PlannedExerciseFactory(
        session=session, exercise=ExerciseFactory(practice=desk.practice, name="Bench press"),
        scheme=scheme_json(load_value="75"),
    )  # fmt: skip
    services.record_test(by=desk, client=client, exercise=row.exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return row


def page(http, planned: PlannedExercise) -> str:
    program = planned.session.block.program_id
    url = reverse("programs:program_detail", args=[program])
    return http.get(url, {"session": planned.session_id}).content.decode()


def go_to(http, planned: PlannedExercise, place: Place | None):
    session = PlannedSession.objects.get(pk=planned.session_id)
    return http.post(
        reverse("programs:session_edit", args=[session.pk]),
        {"name": session.name, "week_no": 1, "day": 0, "note": "", "version": session.version,
         "place": place.pk if place else ""},
    )  # fmt: skip


def test_warm_ups_stand_in_the_editor_from_the_working_load(as_coach, planned):
    text = page(as_coach, planned)
    assert ">75 kg<" in text
    # common practice, no source: half, 70 and 85 % of the working load, rounded down to what the bar makes
    assert 'class="row-warmups"' in text
    for words in ("37.5 kg x 8", "52.5 kg x 4", "62.5 kg x 2"):
        assert words in text


def test_another_place_makes_other_loads_and_warm_ups_and_back_again(as_coach, planned, cellar):
    assert go_to(as_coach, planned, cellar).status_code == 302
    text = page(as_coach, planned)
    assert ">60 kg<" in text
    assert ">75 kg<" not in text
    assert "20 kg x 8" in text
    assert "37.5 kg x 8" not in text
    assert go_to(as_coach, planned, None).status_code == 302
    assert "37.5 kg x 8" in page(as_coach, planned)


def test_place_without_a_bar_has_nothing_to_warm_up_or_set_up_with(as_coach, desk, planned):
    park = PlaceFactory(practice=desk.practice, name="Park")
    EquipmentFactory(place=park, value=Stack("column", "kg", (5000, 10000)))
    go_to(as_coach, planned, park)
    text = page(as_coach, planned)
    assert "row-warmups" not in text
    assert "a side" not in text


def test_sheet_of_the_session_shows_the_warm_ups_of_its_place(as_coach, desk, planned, cellar, now):
    def warmups() -> list[tuple[int, int]]:
        session = PlannedSession.objects.get(pk=planned.session_id)
        sheet = services.issue_sheet(by=desk, session=session, now=now, why="Known to the coach.")
        shown = as_coach.get(reverse("programs:sheet_detail", args=[sheet.pk])).content.decode()
        lift = IssuedSheet.objects.get(pk=sheet.pk).body["exercises"][0]
        for step in lift["warmups"]:
            assert f"{step['load'] / 1000:g} kg x {step['reps']}" in shown
        return [(step["load"], step["reps"]) for step in lift["warmups"]]

    assert warmups() == [(37500, 8), (52500, 4), (62500, 2)]
    go_to(as_coach, planned, cellar)
    assert warmups() == [(20000, 8)]


def test_strangers_place_cannot_be_chosen(as_coach, planned, stranger):
    answer = go_to(as_coach, planned, PlaceFactory(practice=stranger.practice))
    assert answer.status_code == 422
    assert PlannedSession.objects.get(pk=planned.session_id).place is None
