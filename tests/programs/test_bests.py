"""Best times and distances: recorded like a tested lift, and what timed steps are predicted from."""

from datetime import date
from typing import Any

import pytest
from django.test import Client as Browser

from clients.models import Client
from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import next_undo, undo
from programs.models import Exercise, StrengthObservation, TimedBest
from programs.selectors import session_view
from programs.services import record_best
from tests.factories.clients import KG_DUMBBELLS, ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.programs import PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory, scheme_json

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("library")]

TODAY = date(2026, 11, 23)


@pytest.fixture
def nora(desk: Membership) -> Client:
    place = PlaceFactory(practice=desk.practice)
    EquipmentFactory(place=place, body_weight=True)
    EquipmentFactory(place=place, value=KG_DUMBBELLS)
    return ClientFactory(coach=desk, name="Nora", place=place)


def exercise(code: str) -> Exercise:
    return Exercise.objects.get(code=code, practice=None)


def prescribed(client: Client, code: str, **scheme: str) -> Any:
    session = PlannedSessionFactory(program=ProgramFactory(coach=client.coach, client=client))
    PlannedExerciseFactory(session=session, exercise=exercise(code), scheme=scheme_json(**scheme))
    return session_view(session, client=client, on=TODAY).exercises[0]


PLANK = {"sets": "3", "load_kind": "effort", "load_value": "", "reps": "60 s", "rest": "60"}


def test_a_plank_is_predicted_from_the_best_time_and_not_without(desk: Membership, nora: Client) -> None:
    before = prescribed(nora, "plank", **PLANK)
    assert [step.expected_amount for step in before.steps] == [None] * 3
    said = [engine.sentence(one) for one in before.steps[0].because]
    assert "No best time at this load is known, so it is not predicted." in said
    record_best(by=desk, client=nora, exercise=exercise("plank"), load=0, unit="kg", amount=60, on=TODAY)
    after = prescribed(nora, "plank", **PLANK)
    held = [step.expected_amount for step in after.steps]
    assert held[0] == pytest.approx(60)
    assert held[0] > held[1] > held[2] > 0
    assert after.effort.startswith("expected 60 s, ")


def test_a_carry_is_predicted_at_the_load_of_its_best_only(desk: Membership, nora: Client) -> None:
    carry = exercise("farmers_carry")
    record_best(by=desk, client=nora, exercise=carry, load=20_000, unit="kg", amount=40, on=TODAY)
    plan = {"sets": "2", "load_kind": "fixed", "load_value": "20 kg", "reps": "40 m", "rest": "60"}
    one, two = prescribed(nora, "farmers_carry", **plan).steps
    assert one.expected_amount == pytest.approx(40)
    assert two.expected_amount < 40
    heavier = prescribed(nora, "farmers_carry", **{**plan, "load_value": "24 kg"}).steps
    assert [step.expected_amount for step in heavier] == [None, None]


def test_a_best_in_pounds_counts_at_the_same_load_in_kilograms(desk: Membership, nora: Client) -> None:
    carry = exercise("farmers_carry")
    # 44.092 lb = 20 kg to the gram
    record_best(by=desk, client=nora, exercise=carry, load=44_092, unit="lb", amount=40, on=TODAY)
    plan = {"sets": "1", "load_kind": "fixed", "load_value": "20 kg", "reps": "40 m"}
    assert prescribed(nora, "farmers_carry", **plan).steps[0].expected_amount == pytest.approx(40)


def test_the_newest_counts_and_of_two_sides_the_weaker(desk: Membership, nora: Client) -> None:
    side_plank = exercise("side_plank")
    for on, side, amount in ((date(2026, 10, 1), "l", 20), (TODAY, "l", 50), (TODAY, "r", 40)):
        record_best(by=desk, client=nora, exercise=side_plank, load=0, unit="kg", amount=amount, on=on, side=side)
    plan = {**PLANK, "sets": "1", "reps": "90 s"}
    assert prescribed(nora, "side_plank", **plan).steps[0].expected_amount == pytest.approx(40)


def typed(code: str, **fields: str) -> dict[str, str]:
    return {"exercise": str(exercise(code).pk), "load": "", "unit": "kg", "reps": "75", "on": "2026-11-23", **fields}


def test_it_is_recorded_on_the_page_of_tested_lifts_and_taken_back(as_coach: Browser, nora: Client) -> None:
    url = f"/clients/{nora.pk}/strength/"
    assert as_coach.post(url, typed("plank")).status_code == 302
    best = TimedBest.objects.get()
    assert (best.amount, best.load, str(best)) == (75, 0, "Plank, 75 s")
    assert not StrengthObservation.objects.exists()
    page = as_coach.get(url).content.decode()
    assert "Best times and distances" in page
    assert "75 s" in page
    assert as_coach.post(f"/clients/{nora.pk}/bests/{best.pk}/delete/").status_code == 302
    assert not TimedBest.objects.exists()
    act = next_undo(nora.practice, f"client:{nora.pk}")
    assert act is not None
    undo(act, by=nora.coach)
    assert TimedBest.objects.get().amount == 75


@pytest.mark.parametrize(
    ("code", "fields", "field"),
    [
        ("plank", {"reps": "0"}, "reps"),
        ("plank", {"reps": "5001"}, "reps"),
        ("plank", {"reps": "NaN"}, "reps"),
        ("plank", {"load": "some"}, "load"),
        ("plank", {"on": "2027-01-01"}, "on"),
        ("farmers_carry", {"load": ""}, "load"),
        ("back_squat", {"load": "100", "reps": "75"}, "reps"),
    ],
)
def test_what_cannot_be_is_said_at_its_field(
    as_coach: Browser, nora: Client, code: str, fields: dict[str, str], field: str
) -> None:
    answer = as_coach.post(f"/clients/{nora.pk}/strength/", typed(code, **fields))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not TimedBest.objects.exists()
    assert not StrengthObservation.objects.exists()


def test_another_clients_best_is_not_removed_by_the_address(as_coach: Browser, desk: Membership, nora: Client) -> None:
    other = ClientFactory(coach=desk)
    best = record_best(by=desk, client=other, exercise=exercise("plank"), load=0, unit="kg", amount=60, on=TODAY)
    assert as_coach.post(f"/clients/{nora.pk}/bests/{best.pk}/delete/").status_code == 404
    assert TimedBest.objects.exists()
