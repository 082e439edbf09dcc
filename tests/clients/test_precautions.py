"""Adding and ending precautions."""

from datetime import date, datetime

import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from clients import services
from clients.models import Client, Precaution
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, PrecautionFactory


@pytest.fixture
def rosa(desk: Membership) -> Client:
    return ClientFactory(coach=desk, name="Rosa")


def test_a_precaution_is_added(rosa: Client, as_coach: Browser) -> None:
    typed = {"words": "No deep lunges", "muscle": "quads", "since_on": "2026-11-01"}
    assert as_coach.post(f"/clients/{rosa.pk}/precautions/new/", typed).status_code == 302
    row = Precaution.objects.get()
    assert (row.client, row.words, row.muscle, row.since_on) == (rosa, "No deep lunges", "quads", date(2026, 11, 1))


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("words", ""),
        ("words", "x" * 201),
        ("words", "a" + "\u0335" * 40),
        ("muscle", "wings"),
        ("since_on", "2026-13-01"),
    ],
)
def test_a_bad_precaution_is_an_error_at_its_field(rosa: Client, as_coach: Browser, field: str, value: str) -> None:
    typed = {"words": "Knee", "muscle": "", "since_on": "", field: value}
    answer = as_coach.post(f"/clients/{rosa.pk}/precautions/new/", typed)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]


def test_ending_takes_effect_at_once_and_twice_changes_nothing(desk: Membership, rosa: Client, now: datetime) -> None:
    row = PrecautionFactory(client=rosa, since_on=date(2026, 11, 1))
    ended = services.end_precaution(by=desk, precaution=row, now=now)
    assert (ended.until_on, ended.version) == (date(2026, 11, 24), 2)
    again = services.end_precaution(by=desk, precaution=row, now=now, until_on=date(2027, 1, 1))
    assert (again.until_on, again.version) == (date(2026, 11, 24), 2)


def test_it_cannot_end_before_it_began(desk: Membership, rosa: Client, now: datetime) -> None:
    row = PrecautionFactory(client=rosa, since_on=date(2026, 12, 1))
    with pytest.raises(ValidationError, match="began 01 Dec 2026"):
        services.end_precaution(by=desk, precaution=row, now=now)


def test_ending_by_the_button_and_by_the_form(rosa: Client, as_coach: Browser) -> None:
    row, other = PrecautionFactory(client=rosa), PrecautionFactory(client=rosa, words="Back")
    assert as_coach.post(f"/precautions/{row.pk}/end/").status_code == 302
    assert as_coach.post(f"/precautions/{other.pk}/end/", {"until_on": "2030-01-01"}).status_code == 302
    row.refresh_from_db()
    other.refresh_from_db()
    assert row.until_on is not None
    assert other.until_on == date(2030, 1, 1)
    assert as_coach.post(f"/precautions/{other.pk}/end/", {"until_on": "x"}).status_code == 422
