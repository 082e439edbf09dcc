"""A client's page: facts, standing in words, panels as plain links; archiving and restoring."""

from datetime import date, timedelta

from django.test import Client as Browser
from django.utils import timezone

from clients.models import Client
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, MarkedMuscleFactory, PrecautionFactory, ScreeningFactory


def page(browser: Browser, client: Client) -> str:
    answer = browser.get(f"/clients/{client.pk}/")
    assert answer.status_code == 200
    return answer.content.decode()


def test_the_page_says_who_this_is(desk: Membership, as_coach: Browser) -> None:
    born = date(timezone.now().year - 40, 1, 1)
    client = ClientFactory(coach=desk, name="Rosa", born_on=born, notes="Prefers mornings\nTall")
    MarkedMuscleFactory(client=client, muscle="quads", aim="rehab")
    said = page(as_coach, client)
    for words in ("<h1", "Rosa", "40 years", "Prefers mornings<br>Tall", "Quadriceps: rehab", "Ana Reis"):
        assert words in said


def test_panels_are_plain_links_that_htmx_loads_in_place(desk: Membership, as_coach: Browser) -> None:
    client = ClientFactory(coach=desk)
    said = page(as_coach, client)
    for path in ("programs", "strength", "sessions"):
        address = f"/clients/{client.pk}/{path}/"
        assert f'hx-get="{address}" hx-trigger="load"' in said
        assert f'href="{address}"' in said
    assert f'href="/clients/{client.pk}/trends/"' in said


def test_screening_is_told_in_words_with_its_dates(desk: Membership, as_coach: Browser) -> None:
    client = ClientFactory(coach=desk)
    assert "Not asked yet" in page(as_coach, client)
    today = timezone.now().date()
    ScreeningFactory(client=client, asked_on=date(2024, 9, 2), expires_on=date(2025, 9, 1))
    assert "Expired on Mon 1 Sep 2025 (asked Mon 2 Sep 2024)" in page(as_coach, client)
    ScreeningFactory(client=client, asked_on=today - timedelta(days=2), expires_on=today, refer=True)
    assert "See a clinician first" in page(as_coach, client)
    ScreeningFactory(client=client, asked_on=today - timedelta(days=1), expires_on=today)
    assert "Nothing found, asked" in page(as_coach, client)


def test_precautions_past_and_present_are_apart(desk: Membership, as_coach: Browser) -> None:
    client = ClientFactory(coach=desk)
    PrecautionFactory(client=client, words="Left knee")
    PrecautionFactory(client=client, words="Old elbow", until_on=date(2025, 1, 1))
    said = page(as_coach, client)
    assert said.index("Left knee") < said.index("Not in force: 1") < said.index("Old elbow")


def test_an_assistant_sees_no_button_that_writes(desk: Membership, as_assistant: Browser) -> None:
    client = ClientFactory(coach=desk)
    PrecautionFactory(client=client)
    said = page(as_assistant, client)
    forms = said.count('method="post"')
    assert forms == 1, "signing out is the only form"
    assert "/edit/" not in said


def test_archiving_and_restoring_without_javascript(desk: Membership, as_coach: Browser) -> None:
    client = ClientFactory(coach=desk)
    assert as_coach.get(f"/clients/{client.pk}/archive/").status_code == 405
    assert as_coach.post(f"/clients/{client.pk}/archive/").status_code == 302
    client.refresh_from_db()
    first = client.archived_on
    assert first is not None
    as_coach.post(f"/clients/{client.pk}/archive/")
    client.refresh_from_db()
    assert (client.archived_on, client.version) == (first, 2)
    assert "Restore" in page(as_coach, client)
    as_coach.post(f"/clients/{client.pk}/restore/")
    client.refresh_from_db()
    assert client.archived_on is None


def test_the_number_of_queries_is_fixed(desk: Membership, as_coach: Browser, django_assert_max_num_queries) -> None:
    client = ClientFactory(coach=desk)
    for _ in range(25):
        PrecautionFactory(client=client)
        ScreeningFactory(client=client)
    with django_assert_max_num_queries(10):
        page(as_coach, client)
