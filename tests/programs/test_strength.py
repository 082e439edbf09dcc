"""Recording tested lifts: the estimate follows, undo takes it back, bad input is refused in words."""

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.models import StrengthEstimate, StrengthObservation
from programs.services import record_test, remove_test
from tests.factories.clients import ClientFactory
from tests.factories.programs import MONDAY, ExerciseFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def someone(desk):
    """A client without any maximum."""
    return ClientFactory(coach=desk)


def test_test_of_one_rep_is_the_estimate(desk, someone):
    record_test(by=desk, client=someone, exercise=ExerciseFactory(), load=100_000, unit="kg", reps=1, on=MONDAY)
    found = StrengthEstimate.objects.get()
    assert found.mean_kg == pytest.approx(100, rel=0.01)
    assert found.low_kg < found.mean_kg < found.high_kg


def test_removing_and_undoing_follow_the_estimate(desk, someone):
    row = record_test(by=desk, client=someone, exercise=ExerciseFactory(), load=100_000, unit="kg", reps=1, on=MONDAY)
    remove_test(by=desk, observation=row)
    assert not StrengthEstimate.objects.exists()
    undo(Act.objects.order_by("-id")[0], by=desk)
    assert StrengthEstimate.objects.get().mean_kg == pytest.approx(100, rel=0.01)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("load", "0"), ("load", "-5"), ("load", "NaN"), ("load", "1e400"), ("load", "5000"), ("load", ""),
        ("reps", "0"), ("reps", "1000"), ("reps", "-1"), ("reps", "x"), ("on", "2999-01-01"), ("on", "yesterday"),
        ("unit", "st"), ("exercise", "99999"),
    ],
)  # fmt: skip
def test_bad_value_is_refused_at_the_field_and_what_was_typed_is_kept(as_coach, someone, field, value):
    typed = {
        "exercise": ExerciseFactory().pk,
        "load": "92,5",
        "unit": "kg",
        "reps": "5",
        "side": "b",
        "on": "2026-11-23",
    }
    answer = as_coach.post(reverse("programs:client_strength", args=[someone.pk]), {**typed, field: value})
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    if field != "load":
        assert 'value="92,5"' in answer.content.decode()
    assert not StrengthObservation.objects.exists()


def test_comma_decimal_is_read(as_coach, someone):
    typed = {
        "exercise": ExerciseFactory().pk,
        "load": "92,5",
        "unit": "kg",
        "reps": "5",
        "side": "",
        "on": "2026-11-23",
    }
    assert as_coach.post(reverse("programs:client_strength", args=[someone.pk]), typed).status_code == 302
    assert StrengthObservation.objects.get().load == 92_500
