"""Opening a client's link: a cookie and a clean address, any number of times, and nothing else is left of the token."""

import logging
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest
from django.contrib.sessions.models import Session
from django.http import HttpResponse
from django.test import Client as Browser

from clients.links.doors import LinkRefused, client_of_link
from clients.links.services import make_link, revoke_link
from clients.models import Client, ClientLink
from clients.records.services import erase_client
from coachdesk.practice.models import Membership
from coachdesk.redact import NoTokens
from tests.factories.clients import ClientFactory, ClientLinkFactory
from tests.faults.machinery import everything

pytestmark = pytest.mark.django_db
TOKEN = "Ab-_" * 10 + "xyz"
WORDS = "This link no longer works"


@pytest.fixture
def link(linked: Client) -> ClientLink:
    return ClientLinkFactory(client=linked, token=TOKEN)


@pytest.fixture
def said() -> Iterator[list[str]]:
    """Every line of the log as the desk prints it."""
    lines: list[str] = []

    class Kept(logging.Handler):
        def emit(self, record: logging.LogRecord) -> None:
            lines.append(self.format(record))

    handler = Kept(logging.DEBUG)
    handler.addFilter(NoTokens())
    root, before = logging.getLogger(), logging.getLogger().level
    root.addHandler(handler)
    root.setLevel(logging.DEBUG)
    yield lines
    root.removeHandler(handler)
    root.setLevel(before)


def opened(browser: Browser, token: str = TOKEN, **more: Any) -> HttpResponse:
    return browser.get(f"/c/{token}", **more)


def test_the_token_becomes_a_cookie_of_the_clients_own_pages(anonymous: Browser, link: ClientLink) -> None:
    answer = opened(anonymous)
    assert (answer.status_code, answer["Location"]) == (302, "/my/")
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("no-store", "no-referrer")
    cookie = answer.cookies["phone"]
    assert (cookie.value, cookie["path"], cookie["httponly"], cookie["samesite"]) == (TOKEN, "/my/", True, "Lax")
    # At least as long as a link may last, and no longer than browsers keep any (RFC 6265bis: 400 days).
    assert 366 * 86400 < int(cookie["max-age"]) <= 400 * 86400
    assert not cookie["secure"]
    assert list(answer.cookies) == ["phone"]


def test_behind_https_the_cookie_stays_there(anonymous: Browser, link: ClientLink, settings: Any) -> None:
    settings.ENV = replace(settings.ENV, served=True)
    assert opened(anonymous).cookies["phone"]["secure"] is True


def test_a_link_opens_any_number_of_times_and_writes_nothing(link: ClientLink) -> None:
    before = everything()
    for _ in range(3):
        assert opened(Browser()).status_code == Browser().get(f"/c/{TOKEN}/").status_code == 302
        assert Browser().head(f"/c/{TOKEN}/").status_code == 302
    assert everything() == before
    assert not Session.objects.exists()


@pytest.mark.parametrize("method", ["post", "put", "patch", "delete", "options"])
def test_nothing_but_looking_is_allowed(anonymous: Browser, link: ClientLink, method: str) -> None:
    answer = getattr(anonymous, method)(f"/c/{TOKEN}/")
    assert answer.status_code == 405
    assert not answer.cookies


def refusals(desk: Membership, now: Any) -> dict[str, str]:
    """Why -> a token that opens nothing."""
    tokens = {}
    for why in ("expired", "revoked", "archived", "erased", "calendar"):
        client = ClientFactory(coach=desk, name=f"Client {why}")
        kind = ClientLink.Kind.CALENDAR if why == "calendar" else ClientLink.Kind.PHONE
        link, tokens[why] = make_link(by=desk, client=client, label="x", now=now, kind=kind)
        if why == "expired":
            ClientLink.objects.filter(pk=link.pk).update(made_on="2026-01-01", expires_on="2026-11-23")
        if why == "revoked":
            revoke_link(by=desk, link=link, now=now)
        if why == "archived":
            Client.objects.filter(pk=client.pk).update(archived_on="2026-11-24")
        if why == "erased":
            erase_client(by=desk, client=client, typed=client.name, now=now)
    return {"unknown": "A" * 43, **tokens}


def test_every_link_that_opens_nothing_answers_alike(desk: Membership, now: Any, rf: Any) -> None:
    answers = set()
    for why, token in refusals(desk, now).items():
        answer = opened(Browser())
        answers.add((answer.status_code, answer.content, tuple(sorted(answer.headers.items()))))
        assert not answer.cookies, why
        request = rf.get("/my/")
        request.COOKIES["phone"] = token
        with pytest.raises(LinkRefused):
            client_of_link(request)
    assert len(answers) == 1
    page = opened(Browser()).content.decode()
    assert WORDS in page
    assert "<title>Link</title>" in page


def test_a_cookie_opens_its_own_client_and_stops_with_the_link(desk: Membership, linked: Client, now: Any, rf: Any):
    other, token = make_link(by=desk, client=ClientFactory(coach=desk), label="x", now=now)
    ClientLinkFactory(client=linked, token=TOKEN)
    request = rf.get("/my/")
    request.COOKIES["phone"] = token
    assert client_of_link(request) == other.client
    revoke_link(by=desk, link=other, now=now)
    with pytest.raises(LinkRefused):
        client_of_link(request)
    request.COOKIES["phone"] = TOKEN
    assert client_of_link(request) == linked


@pytest.mark.parametrize(
    "token",
    ["A" * 42, "A" * 44, "A" * 1_000_000, "%00" * 43, f"{TOKEN}%00", f"{TOKEN}%0A", "é" * 43, "%F0%9F%92%AA" * 43,
     "%ED%A0%80" * 43, "..", "%2e%2e", f"..%2Fc%2F{TOKEN}", f"%20{TOKEN}", f"{TOKEN};x", "' or 1=1 --", "Ａ" * 43,
     TOKEN.lower(), TOKEN.swapcase(), f"{TOKEN}?x=1#y"],
)  # fmt: skip
def test_what_is_not_exactly_the_token_opens_nothing(
    anonymous: Browser, link: ClientLink, token: str, django_assert_max_num_queries: Any
) -> None:
    with django_assert_max_num_queries(1):
        answer = opened(anonymous, token.replace("#", "%23"))
    opens = token.startswith(f"{TOKEN}?")  # a query is no part of the token
    assert answer.status_code == (302 if opens else 404)
    assert ("phone" in answer.cookies) == opens


@pytest.mark.parametrize("value", ["", "A" * 1_000_000, "\x00", "é" * 43, f" {TOKEN}x", "%00", "a" * 43])
def test_a_forged_cookie_opens_nothing(link: ClientLink, value: str, rf: Any) -> None:
    request = rf.get("/my/")
    request.COOKIES["phone"] = value
    with pytest.raises(LinkRefused):
        client_of_link(request)


@pytest.mark.parametrize(
    "path", ["/c/{}/", "/c/{}", "/c//{}/", "/C/{}/", "/c/{}/more/", "/{}/", "/my/{}/", "/sign-in/{}/", "/c/x/{}/"]
)
def test_no_token_is_in_the_log(link: ClientLink, said: list[str], path: str) -> None:
    revoked = ClientLinkFactory(client=link.client, token="R" * 43, revoked=True)
    for token in (TOKEN, revoked and "R" * 43, "U" * 43):
        for browser in (Browser(), Browser(enforce_csrf_checks=True)):
            browser.get(path.format(token))
            browser.post(path.format(token))
            assert len(said) > 3
            assert not [line for line in said if token in line]
    assert any("(token)" in line for line in said)


def test_the_logs_of_servers_say_no_token(said: list[str]) -> None:
    """As waitress says an address when the desk fails, and Django's own server at every request."""
    logging.getLogger("waitress").error("Exception while serving %s", f"/c/{TOKEN}/")
    assert said[-1] == "Exception while serving /c/(token)/"
    for name in ("django.server", "django.request", "django.security", "waitress", "anything"):
        one: Any = logging.getLogger(name)
        handlers = []
        while one:
            handlers += one.handlers
            one = one.parent if one.propagate else None
        printing = [h for h in handlers if isinstance(h, logging.StreamHandler) and type(h).__module__ == "logging"]
        for handler in printing:
            quiet = any(type(f).__name__ == "RequireDebugTrue" for f in handler.filters)
            assert quiet or any(isinstance(f, NoTokens) for f in handler.filters), (name, handler)


def test_a_client_is_told_in_their_own_words_what_is_not_there(as_client: Browser, as_coach: Browser) -> None:
    for browser, words in ((as_client, "There is nothing at this address"), (as_coach, "Open your link first")):
        answer = browser.get("/my/sheets/999/")
        page = answer.content.decode()
        assert (answer.status_code, words in page) == (404, True)
        assert "<title>Link</title>" in page
        for word in ("roster", "Changes", "practice", "csrfmiddlewaretoken"):
            assert word not in page
