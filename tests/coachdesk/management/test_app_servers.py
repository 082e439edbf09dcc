"""Two desks in processes of their own, with homes of their own, on one PostgreSQL: requests may go to either."""

import http.client
import json
import re
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from functools import partial
from itertools import cycle
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit, urlunsplit

import pytest
from django.conf import settings
from django.db import connection
from django.utils import timezone

from clients.links.doors import COOKIE
from clients.models import Client, Place
from coachdesk.management.endurance.desk import Desk
from coachdesk.practice.digest import new_token
from coachdesk.practice.models import Act, Membership, Practice
from coachdesk.practice.services import MOST_TRIES, add_member, make_sign_in_link
from programs.logs.models import PhoneEntry, SetLog
from programs.models import IssuedSheet, Program
from tests.factories.clients import ClientFactory, ClientLinkFactory, PlaceFactory
from tests.factories.phone import handed_to, planned_for
from tests.factories.queue import as_written

pytestmark = pytest.mark.postgres
HOST, WORD = "desk.example.org", "three grey herons"
# As the web server in front passes a request on.
FRONT = {"Host": HOST, "X-Forwarded-Proto": "https", "Origin": f"https://{HOST}"}


class Visitor:
    """A browser with its cookies, that is sent to whichever server is asked for."""

    def __init__(self) -> None:
        self.cookies: dict[str, str] = {}

    def ask(self, desk: Desk, path: str, form: Any = None, **headers: str) -> tuple[int, str, str]:
        """(status, where it sends on to, the page). A `form` that is a dict is posted as one, text as it is."""
        sent = {**FRONT, "Cookie": "; ".join(f"{k}={v}" for k, v in self.cookies.items()), **headers}
        if isinstance(form, dict):
            sent |= {"Content-Type": "application/x-www-form-urlencoded"}
            form = urlencode({**form, "csrfmiddlewaretoken": self.cookies.get("csrftoken", "")}, doseq=True)
        sent["X-CSRFToken"] = self.cookies.get("csrftoken", "")
        line = http.client.HTTPConnection("127.0.0.1", desk.port, timeout=60)
        try:
            line.request("GET" if form is None else "POST", path, form, sent)
            answer = line.getresponse()
            page = answer.read().decode("utf-8", "replace")
        finally:
            line.close()
        for said in answer.headers.get_all("Set-Cookie") or []:
            name, _, value = said.split(";")[0].partition("=")
            self.cookies[name] = value
        return answer.status, answer.headers.get("Location", ""), page


@pytest.fixture
def desks(own_database: str, tmp_path: Path) -> Iterator[tuple[Desk, Desk]]:
    """Started at the same moment on an empty database; they share nothing but it and the secret."""
    url = urlunsplit(urlsplit(settings.ENV.database_url)._replace(path=f"/{own_database}"))
    env = {
        "DATABASE_URL": url, "COACHDESK_MODE": "served", "COACHDESK_HOSTS": HOST, "CI": "",
        "COACHDESK_SECRET_KEY": "s" * 60,
    }  # fmt: skip
    made = tuple(Desk({**env, "COACHDESK_HOME": str(tmp_path / name)}) for name in ("first", "second"))
    try:
        together(made[0].start, made[1].start)
        yield made  # type: ignore[misc]
    finally:
        for desk in made:
            desk.kill()


def together(*calls: Callable[[], Any]) -> list[Any]:
    """What calls made at the same moment give."""
    with ThreadPoolExecutor(len(calls)) as crew:
        return [one.result() for one in [crew.submit(call) for call in calls]]


def test_two_servers_on_one_database_are_one_desk(desks: tuple[Desk, Desk]) -> None:
    assert Practice.objects.count() == 1  # both found it empty, one filled it
    owner = Membership.objects.get()
    visitor = links_burn_on_both(desks, owner)
    writes_go_on_at_the_other(desks, visitor)
    replays_are_kept_once(desks, owner)
    a_run_goes_on_at_the_other(desks, visitor, owner)
    who_leaves_is_out_on_both(desks, visitor, owner)
    tries_count_on_both(desks, owner)


def links_burn_on_both(desks: tuple[Desk, Desk], owner: Membership) -> Visitor:
    """Pressed on both servers at the same moment, each of five links signs in once; the sign-in holds on both."""
    for _ in range(5):
        path = f"/sign-in/{make_sign_in_link(user=owner.user, now=timezone.now())}/"
        people = [Visitor(), Visitor()]
        for one, desk in zip(people, desks, strict=True):
            assert one.ask(desk, path)[0] == 200
        answers = together(*(partial(o.ask, d, path, {}) for o, d in zip(people, desks, strict=True)))
        statuses = [status for status, _, _ in answers]
        assert sorted(statuses) == [302, 422]
    winner = people[statuses.index(302)]
    assert [winner.ask(desk, "/")[0] for desk in desks] == [200, 200]
    return winner


def writes_go_on_at_the_other(desks: tuple[Desk, Desk], visitor: Visitor) -> None:
    """Written here, read there, undone there, gone here; four times, with the servers taking turns."""
    fields = {"goal": "size", "level": "novice", "days_per_week": "3", "minutes_per_session": "60", "unit": "kg",
              "time_zone": "UTC", "coach": Membership.objects.get().pk}  # fmt: skip
    turns = cycle([*desks, *reversed(desks)])
    for number in range(4):
        here, there = next(turns), next(turns)
        status, path, _ = visitor.ask(here, "/clients/new/", {**fields, "name": f"Client {number}"})
        assert status == 302
        assert f"Client {number}" in visitor.ask(there, path)[2]
        act = Act.objects.latest("id")
        assert visitor.ask(there, f"/acts/{act.pk}/undo/", {})[0] == 302
        assert visitor.ask(here, path)[0] == 404
        assert visitor.ask(here, f"/acts/{act.pk}/undo/", {})[0] == 302  # said, and nothing more undone
    assert not Client.objects.exists()


def replays_are_kept_once(desks: tuple[Desk, Desk], owner: Membership) -> None:
    """The same sets from a phone, four times at the same moment, half to each server."""
    client = ClientFactory(coach=owner)
    sheet = handed_to(client, PlaceFactory(practice=owner.practice))
    phone, token = Visitor(), new_token()
    ClientLinkFactory(client=client, token=token)
    phone.cookies[COOKIE] = token
    for slot in ("1-1-1-b", "1-2-1-b", "1-3-1-b"):
        body = json.dumps({"v": 1, "whose": client.uid.hex, "items": [as_written(sheet, slot)]})
        headers = {"X-Phone": "1", "Content-Type": "application/json"}
        answers = together(*(partial(phone.ask, d, "/my/queue/", body, **headers) for d in (*desks, *desks)))
        assert {(status, page) for status, _, page in answers} == {answers[0][::2]}
        assert json.loads(answers[0][2])["items"][0]["state"] == "saved"
    assert (SetLog.objects.count(), PhoneEntry.objects.count()) == (3, 3)


def a_run_goes_on_at_the_other(desks: tuple[Desk, Desk], visitor: Visitor, owner: Membership) -> None:
    """A run of sheets begun here is issued there and set as PDF on both."""
    sheet: IssuedSheet = planned_for(ClientFactory(coach=owner, name="Vera Lindholm"), *_places(owner))
    today = timezone.now().date()
    monday = today + timedelta(days=7 - today.weekday())
    Program.objects.update(start_on=monday)
    asked = {"client": sheet.client_id, "since": monday.isoformat(), "paper": "a4"}
    status, run, _ = visitor.ask(desks[0], "/sheet-runs/new/", asked)
    assert status == 302
    for desk in (desks[1], desks[0], desks[1]):
        visitor.ask(desk, f"{run}step/", {})
    for desk in desks:
        assert "Vera Lindholm" in visitor.ask(desk, run)[2] or "done" in visitor.ask(desk, run)[2]
        status, _, pdf = visitor.ask(desk, f"{run}pdf/")
        assert (status, pdf[:5]) == (200, "%PDF-")


def _places(owner: Membership) -> tuple[Place, Place]:
    return PlaceFactory(practice=owner.practice, name="Gym"), PlaceFactory(practice=owner.practice, name="Home")


def who_leaves_is_out_on_both(desks: tuple[Desk, Desk], visitor: Visitor, owner: Membership) -> None:
    coach = add_member(practice=owner.practice, name="Jonas Ek", email="jonas@example.org", role="coach")
    them, path = Visitor(), f"/sign-in/{make_sign_in_link(user=coach.user, now=timezone.now())}/"
    them.ask(desks[0], path)
    assert them.ask(desks[0], path, {})[0] == 302
    assert [them.ask(desk, "/")[0] for desk in desks] == [200, 200]
    assert visitor.ask(desks[0], f"/staff/{coach.pk}/leave/", {})[0] == 302
    assert [them.ask(desk, "/")[0] for desk in reversed(desks)] == [302, 302]


def tries_count_on_both(desks: tuple[Desk, Desk], owner: Membership) -> None:
    """Eight wrong passwords, taking turns: the right one is refused on either server before it is hashed."""
    owner.user.set_password(WORD)
    owner.user.save()
    guest, turns = Visitor(), cycle(desks)
    guest.ask(desks[0], "/sign-in/")
    for _ in range(MOST_TRIES):
        assert guest.ask(next(turns), "/sign-in/", {"email": owner.user.email, "password": "wrong"})[0] == 422
    for desk in desks:
        status, _, page = guest.ask(desk, "/sign-in/", {"email": owner.user.email, "password": WORD})
        assert (status, bool(re.search(r"8 tries failed", page))) == (422, True)
    assert connection.vendor == "postgresql"
