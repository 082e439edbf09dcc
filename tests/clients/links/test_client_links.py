"""The coach's list of a client's links: made, shown once, rotated and revoked."""

import re
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client as Browser

from clients.links.selectors import link_of_token
from clients.models import Client, ClientLink
from clients.services import archive_client
from coachdesk.practice.models import Act, Change, Membership
from tests.clients.links.test_link_open import opened
from tests.factories.clients import ClientFactory, ClientLinkFactory

TYPED = {"label": "Own phone", "kind": "phone", "expires_on": "2027-05-23"}


def pressed(browser: Browser, client: Client, **typed: Any) -> Any:
    return browser.post(f"/clients/{client.pk}/links/new/", {**TYPED, "key": str(uuid4()), **typed})


def token_in(answer: Any) -> str:
    found = re.search(r'id="link-address">http://testserver/c/([\w-]{43})</p>', answer.content.decode())
    assert found
    return found[1]


def test_the_form_offers_180_days_and_the_phone(as_coach: Browser, linked: Client) -> None:
    page = as_coach.get(f"/clients/{linked.pk}/links/").content.decode()
    assert 'value="2027-05-23"' in page  # 24 Nov 2026 and 180 days
    assert re.search(r'value="phone"[^>]*checked', page)


def test_an_address_is_shown_once_with_its_code_and_opens(as_coach: Browser, linked: Client, now: datetime) -> None:
    answer = pressed(as_coach, linked)
    token = token_in(answer)
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "no-store"
    assert '<svg role="img" aria-label="QR code of the address above"' in answer.content.decode()
    assert opened(Browser(), token).status_code == 302
    link = ClientLink.objects.get()
    assert (link.label, link.kind, link.expires_on, link.made_on) == (
        "Own phone", "phone", date(2027, 5, 23), date(2026, 11, 24),
    )  # fmt: skip
    for path in (f"/clients/{linked.pk}/links/", f"/clients/{linked.pk}/", "/acts/", "/"):
        assert token not in as_coach.get(path).content.decode()


def test_the_session_and_the_messages_hold_no_token(as_coach: Browser, linked: Client) -> None:
    token = token_in(pressed(as_coach, linked))
    assert token not in str(dict(as_coach.session)) + str(as_coach.cookies)
    assert token not in str(list(Change.objects.values())) + str(list(Act.objects.values()))


def test_a_second_press_makes_no_second_link(as_coach: Browser, linked: Client) -> None:
    key = str(uuid4())
    assert pressed(as_coach, linked, key=key).status_code == 200
    again = pressed(as_coach, linked, key=key)
    assert again.status_code == 422
    assert "made already, and its address was shown once" in again.content.decode()
    assert ClientLink.objects.count() == 1


def test_a_form_sent_again_after_revoking_does_not_bring_the_link_back(as_coach: Browser, linked: Client) -> None:
    key = str(uuid4())
    token = token_in(pressed(as_coach, linked, key=key))
    as_coach.post(f"/links/{ClientLink.objects.get().pk}/revoke/")
    assert pressed(as_coach, linked, key=key).status_code == 422
    assert opened(Browser(), token).status_code == 404


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("label", "", "This field is required"), ("label", "x" * 61, "at most 60"),
        ("label", "a" + "\u0335" * 40, "marks"),
        ("label", "x" * 1_000_000, "at most 60"), ("kind", "both", "Choose the phone page or the calendar"),
        ("kind", "", "Choose the phone page or the calendar"), ("expires_on", "2026-11-23", "cannot be the last day"),
        ("expires_on", "2027-11-26", "cannot be the last day"), ("expires_on", "9999-12-31", "cannot be the last day"),
        ("expires_on", "soon", "is no date"), ("expires_on", "2026-02-30", "is no date"),
        ("expires_on", "", "required"),
        ("key", "", "lost track"), ("key", "1", "lost track"),
    ],
)  # fmt: skip
def test_bad_input_is_said_at_its_field_and_makes_nothing(
    as_coach: Browser, linked: Client, field: str, value: str, words: str
) -> None:
    answer = pressed(as_coach, linked, **{field: value})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not ClientLink.objects.exists()


def test_markup_and_nul_in_a_label_stay_text(as_coach: Browser, linked: Client) -> None:
    pressed(as_coach, linked, label="<b>\x00Tablet</b>")
    page = as_coach.get(f"/clients/{linked.pk}/links/").content.decode()
    assert "&lt;b&gt;Tablet&lt;/b&gt;" in page
    assert "<b>Tablet" not in page


def test_rotating_stops_the_old_address_and_shows_a_new_one(as_coach: Browser, linked: Client) -> None:
    old = token_in(pressed(as_coach, linked, label="Tablet"))
    link = ClientLink.objects.get()
    new = token_in(as_coach.post(f"/links/{link.pk}/rotate/"))
    assert opened(Browser(), old).status_code == 404
    assert opened(Browser(), new).status_code == 302
    assert [one.label for one in ClientLink.objects.filter(revoked_at=None)] == ["Tablet"]
    assert as_coach.post(f"/links/{link.pk}/rotate/").status_code == 302  # a second press
    assert ClientLink.objects.count() == 2
    assert opened(Browser(), new).status_code == 302


def test_the_list_says_which_links_open_and_why_others_do_not(as_coach: Browser, linked: Client) -> None:
    ClientLinkFactory(client=linked, label="Lost phone", revoked=True)
    ClientLinkFactory(client=linked, label="Old tablet", made_on=date(2026, 1, 1), expires_on=date(2026, 11, 23))
    ClientLinkFactory(client=linked, label="Watch", calendar=True, expires_on=date(2026, 11, 24))
    text = re.sub(r"<[^>]+>|\s+", " ", as_coach.get(f"/clients/{linked.pk}/links/").content.decode())
    said = re.sub(r" +", " ", text)
    assert "Watch calendar Tue 24 Nov 2026 Tue 24 Nov 2026 in force" in said
    assert "Old tablet phone page Thu 1 Jan 2026 Mon 23 Nov 2026 expired" in said
    assert "revoked Tue 24 Nov 2026" in said
    assert said.index("Watch") < said.index("Old tablet") < said.index("Lost phone")


def test_an_archived_clients_page_offers_no_link(as_coach: Browser, desk: Membership, linked: Client, now: datetime):
    link = ClientLinkFactory(client=linked)
    archive_client(by=desk, client=linked, now=now)
    page = as_coach.get(f"/clients/{linked.pk}/links/").content.decode()
    assert "rests: client archived" in page
    assert 'id="link-make"' not in page
    answer = pressed(as_coach, linked)
    assert (answer.status_code, "is archived" in answer.content.decode()) == (422, True)
    assert as_coach.post(f"/links/{link.pk}/rotate/").status_code == 302
    assert ClientLink.objects.count() == 1


def test_an_assistant_sees_the_list_without_buttons(as_assistant: Browser, linked: Client) -> None:
    link = ClientLinkFactory(client=linked)
    page = as_assistant.get(f"/clients/{linked.pk}/links/").content.decode()
    assert "Own phone" in page
    assert f"link-{link.pk}-revoke" not in page
    assert 'id="link-make"' not in page
    assert as_assistant.post(f"/links/{link.pk}/revoke/").status_code == 403


def test_the_same_link_of_two_clients_is_two(
    as_coach: Browser, desk: Membership, linked: Client, now: datetime
) -> None:
    """A key is a client's own: a form of one client copied to another's address makes that client's link."""
    key, other = str(uuid4()), ClientFactory(coach=desk)
    first, second = token_in(pressed(as_coach, linked, key=key)), token_in(pressed(as_coach, other, key=key))
    for token, client in ((first, linked), (second, other)):
        found = link_of_token(token, "phone", now + timedelta(days=1))
        assert found is not None
        assert found.client == client
