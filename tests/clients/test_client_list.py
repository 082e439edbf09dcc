"""The client list: who is on it for whom, found by any part of a name, in a fixed number of queries."""

import pytest
from django.test import Client as Browser

from clients import selectors
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, PlaceFactory, ScreeningFactory


def names(browser: Browser, **query: str) -> list[str]:
    answer = browser.get("/clients/", query)
    assert answer.status_code == 200
    return [client.name for client, _state in answer.context["rows"]]


def test_each_sees_their_own(
    desk: Membership,
    owner: Membership,
    as_coach: Browser,
    as_owner: Browser,
    as_assistant: Browser,
    as_stranger: Browser,
) -> None:
    ClientFactory(coach=desk, name="Mine")
    ClientFactory(coach=owner, name="The owner's")
    assert names(as_coach) == ["Mine"]
    assert names(as_owner) == ["Mine", "The owner's"]
    assert names(as_assistant) == ["Mine"]
    assert names(as_stranger) == []


@pytest.mark.parametrize("query", ["zoe", "ZOË", "oe stroem", "Strøm zoë", "  zoë  ", "ström"])
def test_search_folds_case_and_accents(desk: Membership, as_coach: Browser, query: str) -> None:
    ClientFactory(coach=desk, name="Zoë Ström")
    ClientFactory(coach=desk, name="Tom Hardy")
    found = names(as_coach, q=query)
    assert found == (["Zoë Ström"] if query not in ("oe stroem", "Strøm zoë") else [])


@pytest.mark.parametrize("query", ["%", "_", "'; DROP TABLE clients_client; --", "\x00", "́" * 10_000, "😀"])
def test_any_search_text_is_answered(desk: Membership, as_coach: Browser, query: str) -> None:
    ClientFactory(coach=desk, name="Zoë")
    assert names(as_coach, q=query) in ([], ["Zoë"])


def test_archived_clients_are_apart(desk: Membership, as_coach: Browser) -> None:
    ClientFactory(coach=desk, name="Here")
    ClientFactory(coach=desk, name="Gone", archived=True)
    assert names(as_coach) == ["Here"]
    assert names(as_coach, archived="1") == ["Gone"]


def test_order_is_by_folded_name_then_id(desk: Membership, as_coach: Browser) -> None:
    for name in ("zoe", "Ábel", "Bo", "abel"):
        ClientFactory(coach=desk, name=name)
    assert names(as_coach) == ["Ábel", "abel", "Bo", "zoe"]


@pytest.mark.parametrize("clients", [1, 3, 25])
def test_the_number_of_queries_does_not_grow(
    desk: Membership, as_coach: Browser, clients: int, django_assert_max_num_queries
) -> None:
    for _ in range(clients):
        ScreeningFactory(client=ClientFactory(coach=desk, place=PlaceFactory(practice=desk.practice)))
    with django_assert_max_num_queries(6):
        assert len(names(as_coach)) == clients


def test_pages_follow_on_without_gap_or_repeat(desk: Membership) -> None:
    for name in ("Same", "Same", "Same", "Bo", "Zoe"):
        ClientFactory(coach=desk, name=name)
    rows, seen, after = selectors.client_rows(desk), [], None
    for _ in range(3):
        page = selectors.client_page(rows, after=after, limit=2)
        seen += [client.pk for client in page.clients]
        after = page.next_after
    assert seen == [client.pk for client in rows]
    assert after is None


@pytest.mark.parametrize("after", ["0", "999999999999999999", "9" * 40, "-1", "abc", "٣"])
def test_a_nonsense_page_mark_begins_at_the_start(desk: Membership, as_coach: Browser, after: str) -> None:
    ClientFactory(coach=desk, name="Zoë")
    assert names(as_coach, after=after) == ["Zoë"]


def test_htmx_gets_the_list_alone(desk: Membership, as_coach: Browser) -> None:
    ClientFactory(coach=desk, name="Zoë")
    answer = as_coach.get("/clients/", {"q": "zo"}, headers={"HX-Request": "true"})
    page = answer.content.decode()
    assert page.strip().startswith('<div id="client-list">')
    assert "<html" not in page
    assert "HX-Request" in answer["Vary"]


def test_an_empty_list_offers_the_first_step_to_those_who_may_take_it(as_coach: Browser, as_assistant: Browser) -> None:
    assert "Add a client" in as_coach.get("/clients/").content.decode()
    page = as_assistant.get("/clients/").content.decode()
    assert "The people you coach are listed here." in page
    assert "/clients/new/" not in page
