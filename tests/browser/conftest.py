"""Driving Chromium against a running desk: fixtures that only browser tests use."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.test import Client as Http
from django.utils import timezone

from clients.links.doors import COOKIE, PHONE_PATH
from clients.models import Client, Place
from coachdesk.practice.models import Membership
from programs.models import IssuedSheet
from tests.factories.links import with_link
from tests.factories.phone import handed_to


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The desk that a browser drives runs in a thread of its own, so rows must be committed."""
    for item in items:
        if "tests/browser" in str(item.path):
            item.add_marker(pytest.mark.django_db(transaction=True))


class Watched:
    """A page that remembers every console error, script error, refused request and foreign host."""

    def __init__(self, page: Any, base: str) -> None:
        self.page = page
        self.base = base
        self.trouble: list[str] = []
        self.expected: tuple[str, ...] = ()
        page.on("console", lambda m: self.trouble.append(f"console: {m.text}") if m.type == "error" else None)
        page.on("pageerror", lambda e: self.trouble.append(f"script: {e}"))
        page.on("request", lambda r: self._foreign(r.url))

    def forgive(self, *words: str) -> None:
        """What a test provokes (a refusal, a line that is cut) is no trouble, whenever the browser says it."""
        self.expected += words

    def hold_link(self, client: Client) -> None:
        """Give the browser the cookie of a link of this client."""
        cookie = with_link(client).cookies[COOKIE].value
        self.page.context.add_cookies([{"name": COOKIE, "value": cookie, "url": f"{self.base}{PHONE_PATH}"}])

    def _foreign(self, url: str) -> None:
        if not url.startswith((self.base, "data:", "blob:")):
            self.trouble.append(f"foreign host: {url}")

    def go(self, path: str) -> Any:
        """Open a path of the desk and wait until it is quiet."""
        self.page.goto(f"{self.base}{path}", wait_until="networkidle")
        return self.page


@pytest.fixture
def signed_in(transactional_db: None, live_server: Any, context: Any, desk: Membership) -> Iterator[Watched]:
    """A page of a browser signed in as the coach; fails when the browser complained of anything."""
    http = Http()
    http.force_login(desk.user)
    cookie = http.cookies["sessionid"].value
    context.add_cookies([{"name": "sessionid", "value": cookie, "url": live_server.url}])
    watched = Watched(context.new_page(), live_server.url)
    yield watched
    assert not [one for one in watched.trouble if not any(words in one for words in watched.expected)]


@pytest.fixture
def handed(linked: Client, gym: Place) -> IssuedSheet:
    """A sheet of the client, handed out now."""
    return handed_to(linked, gym, issued_at=timezone.now())


@pytest.fixture
def phone(signed_in: Watched, linked: Client) -> Watched:
    """A phone that holds the client's link and no sign-in."""
    signed_in.page.context.clear_cookies()
    signed_in.hold_link(linked)
    signed_in.page.set_viewport_size({"width": 390, "height": 844})
    return signed_in
