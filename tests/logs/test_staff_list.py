"""The owner's page: what it counts for each coach, where it leads, and how many queries it takes."""

import re
from datetime import date, datetime
from typing import Any

import pytest
from django.db import connection
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext

from clients.models import Handover
from coachdesk.practice.models import Membership
from programs.logs.models import ClientMessage, ClientNeed
from programs.logs.selectors.staff import staff_page
from programs.services import issue_sheet
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory
from tests.factories.programs import PlannedSessionFactory, ProgramFactory

TODAY = date(2026, 11, 24)


def needy(coach: Membership, *, score: int = 0, codes: str = "", **more: Any) -> Any:
    """A client whose kept row is up to date."""
    client = ClientFactory(coach=coach)
    value = {"v": 1, "reasons": [], "next": more.pop("next", None), "done": 0, "planned": 0, "missed": 0,
             "bands": None, "severities": []}  # fmt: skip
    ClientNeed.objects.create(
        client=client, on=TODAY, marked=1, worked=1, score=score, codes=codes, value=value, **more
    )  # fmt: skip
    return client


def test_counts_of_a_coach_are_those_of_their_clients(
    owner: Membership, desk: Membership, stranger: Membership, now: datetime
) -> None:
    first = needy(desk, score=5000, codes=" check stop ", ends_on=date(2026, 12, 8))
    needy(desk, score=200, codes=" note check ", ends_on=date(2026, 12, 9))
    needy(desk)
    needy(stranger, score=9000, codes=" stop ")
    ClientFactory(coach=desk, archived=True)
    ClientMessage.objects.create(client=first, text="Knee?", sent_at=now)
    ClientMessage.objects.create(client=first, text="Thanks", sent_at=now, answer="Welcome", answered_at=now)
    Handover.objects.create(client=first, to_coach=desk, handed_at=now)
    Handover.objects.create(client=first, to_coach=owner, handed_at=now)  # not their coach any more
    page = staff_page(owner, TODAY)
    mine = next(line for line in page.coaches if line.member == desk)
    assert (mine.clients, mine.need, mine.messages, mine.ending, mine.unseen) == (3, 2, 1, 1, 1)
    assert dict(mine.flags) == {"stop": 1, "check": 2, "note": 1}
    assert [line.clients for line in page.coaches] == [3, 0]
    assert page.total is not None
    assert (page.total.clients, page.behind) == (3, 0)


def test_sheets_are_due_for_today_and_tomorrow_until_they_are_issued(
    owner: Membership, desk: Membership, now: datetime
) -> None:
    def planned(on: str) -> tuple[Any, Any]:
        program = ProgramFactory(coach=desk, client=ClientFactory(coach=desk))
        session = PlannedSessionFactory(program=program)
        client = program.client
        value = {"v": 1, "next": [session.pk, program.pk, "Upper", on]}
        ClientNeed.objects.create(client=client, on=TODAY, marked=1, worked=1, value=value)
        return client, session

    today, *_others = [planned(f"2026-11-{day}") for day in (24, 25, 26)]
    assert [line.sheets for line in staff_page(owner, TODAY).coaches] == [2, 0]
    issue_sheet(by=desk, session=today[1], now=now, why="As said.")
    assert [line.sheets for line in staff_page(owner, TODAY).coaches] == [1, 0]


def test_numbers_lead_to_the_roster_of_that_coach(as_owner: Browser, owner: Membership, desk: Membership) -> None:
    client = needy(desk, score=5000, codes=" stop ", ends_on=date(2026, 12, 1))
    needy(owner, score=5000, codes=" stop ", ends_on=date(2026, 12, 1))
    page = as_owner.get("/staff/").content.decode()
    links = re.findall(rf'href="(/\?coach={desk.pk}[^"]*)"', page)
    assert len(links) == 3  # clients, stops, endings
    for link in links:
        assert re.findall(r'id="client-(\d+)-link"', as_owner.get(link.replace("&amp;", "&")).content.decode()) == [
            str(client.pk)
        ]


def test_page_names_assistants_and_who_has_left(
    as_owner: Browser, desk: Membership, assistant: Membership, now: datetime
) -> None:
    MembershipFactory(practice=desk.practice, user__name="Gone Away", left_at=now)
    page = as_owner.get("/staff/").content.decode()
    assert f'id="staff-{assistant.pk}-edit"' in page
    assert "Ana Reis</td><td>read</td>" in page
    assert "Gone Away</a>, Tue 24 Nov 2026" in page
    assert "never" in page


@pytest.mark.parametrize(("coaches", "clients"), [(1, 1), (1, 25), (20, 250)])
def test_page_takes_ten_queries_at_most_whatever_the_practice(
    as_owner: Browser, owner: Membership, coaches: int, clients: int, now: datetime
) -> None:
    made = MembershipFactory.create_batch(coaches, practice=owner.practice)
    helper = MembershipFactory(practice=owner.practice, assistant=True)
    helper.assists.set(made)
    for number in range(clients):
        client = needy(made[number % coaches], score=100, next=[number + 1, 1, "Upper", "2026-11-24"])
        ClientMessage.objects.create(client=client, text="Hello", sent_at=now)
    as_owner.get("/staff/")
    with CaptureQueriesContext(
        connection,
    ) as asked:
        assert as_owner.get("/staff/").status_code == 200
    assert len(asked) == 9
