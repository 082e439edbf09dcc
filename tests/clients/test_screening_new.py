"""Screening: what the answers lead to, when it ends, and what a clearance needs."""

from datetime import date, datetime, timedelta

import pytest
from django.test import Client as Browser
from django.utils import timezone

from clients import selectors, services
from clients.models import Client, Screening
from clients.questions import QUESTIONS
from coachdesk.practice.models import Membership
from tests.factories.clients import ALL_NO, ClientFactory

ANSWERS = {name: value for name, value in ALL_NO.items() if name != "v"}
ON = date(2026, 11, 24)
REFERRING = [question.key for question in QUESTIONS if question.refers]


@pytest.fixture
def rosa(desk: Membership) -> Client:
    return ClientFactory(coach=desk, name="Rosa")


def test_what_is_asked_covers_the_published_structure() -> None:
    """Riebe D et al 2015, Med Sci Sports Exerc 47:2473-2479: activity, disease, symptoms, intended effort."""
    words = " ".join(question.words for question in QUESTIONS).lower()
    for asked in ("trained or moved", "heart", "metabolism", "kidneys", "chest pain", "breathlessness"):
        assert asked in words
    assert "effort" in ANSWERS
    assert len(QUESTIONS) + 1 == 8


def test_all_no_is_clear_for_twelve_months(desk: Membership, rosa: Client, now: datetime) -> None:
    row = services.record_screening(by=desk, client=rosa, now=now, asked_on=ON, answers=ANSWERS)
    assert (row.outcome, row.expires_on) == ("clear", date(2027, 11, 24))
    assert row.answers == {"v": 1, **ANSWERS}


def test_being_inactive_alone_refers_nobody(desk: Membership, rosa: Client, now: datetime) -> None:
    for active in ("yes", "no"):
        answers = {**ANSWERS, "active": active}
        row = services.record_screening(by=desk, client=rosa, now=now, asked_on=ON, answers=answers)
        assert row.outcome == "clear"


@pytest.mark.parametrize("key", REFERRING)
def test_any_other_yes_means_a_clinician_first(desk: Membership, rosa: Client, now: datetime, key: str) -> None:
    answers = {**ANSWERS, key: "yes"}
    row = services.record_screening(by=desk, client=rosa, now=now, asked_on=ON, answers=answers)
    assert row.outcome == "refer"
    assert selectors.screening_state(rosa, ON) == "missing"


def test_a_clearance_with_its_end_lifts_it_until_then(desk: Membership, rosa: Client, now: datetime) -> None:
    services.record_screening(
        by=desk, client=rosa, now=now, asked_on=ON, answers={**ANSWERS, "disease": "yes"},
        cleared_until=date(2027, 2, 1), note="Dr Abara, up to hard",
    )  # fmt: skip
    assert selectors.screening_state(rosa, date(2027, 2, 1)) == "ok"
    assert selectors.screening_state(rosa, date(2027, 2, 2)) == "expired"


def post(browser: Browser, client: Client, **fields: str):  # type: ignore[no-untyped-def]
    today = timezone.now().date().isoformat()
    return browser.post(f"/clients/{client.pk}/screenings/new/", {"asked_on": today, **ANSWERS, **fields})


def test_the_form_keeps_answers_and_outcome(rosa: Client, as_coach: Browser) -> None:
    end = (timezone.now().date() + timedelta(days=90)).isoformat()
    answer = post(as_coach, rosa, joints="yes", cleared="on", cleared_until=end, note="Shoulder, Dr Abara")
    assert answer.status_code == 302
    row = Screening.objects.get()
    assert (row.outcome, row.expires_on.isoformat(), row.note) == ("cleared", end, "Shoulder, Dr Abara")
    assert row.answers["joints"] == "yes"


@pytest.mark.parametrize(
    ("field", "fields"),
    [
        ("disease", {"disease": ""}),
        ("disease", {"disease": "perhaps"}),
        ("effort", {"effort": "brutal"}),
        ("asked_on", {"asked_on": ""}),
        ("asked_on", {"asked_on": "9999-01-01"}),
        ("cleared_until", {"cleared": "on"}),
        ("cleared_until", {"cleared": "on", "cleared_until": "soon"}),
        ("cleared_until", {"cleared": "on", "cleared_until": "2000-01-01"}),
        ("cleared_until", {"cleared": "on", "cleared_until": "9999-01-01"}),
        ("cleared", {"cleared_until": "2026-12-01"}),
        ("valid_until", {"valid_until": "9999-01-01"}),
        ("note", {"note": "a" + "\u0335" * 10_000}),
        ("note", {"note": "x" * 1001}),
    ],
)
def test_a_bad_answer_is_an_error_at_its_field(
    rosa: Client, as_coach: Browser, field: str, fields: dict[str, str]
) -> None:
    answer = post(as_coach, rosa, **fields)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not Screening.objects.exists()


def test_the_page_carries_the_cautions_and_its_sources(rosa: Client, as_coach: Browser) -> None:
    page = as_coach.get(f"/clients/{rosa.pk}/screenings/new/").content.decode()
    assert "replaces neither medical advice nor licensed practice nor local rules" in page
    assert "Riebe D et al 2015" in page
    assert "2007" in page
