"""A client's sessions, newest first, as a page and as a panel."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from programs.logs import services
from programs.logs.selectors import sessions_page
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, logged

pytestmark = pytest.mark.django_db


def page_url(client):
    return reverse("logs:client_sessions", args=[client.pk])


def test_sessions_stand_newest_first_with_what_happened(as_coach, desk):
    client = ClientFactory(coach=desk)
    sheet = IssuedSheetFactory(client=client)
    older = logged(IssuedSheetFactory(client=client, for_on=TUESDAY - timedelta(days=4)), minutes=58, rating=7)
    skipped = services.skip_session(by=desk, sheet=sheet, key=uuid4(), skipped_why="ill", on=TUESDAY, now=NOON)
    page = as_coach.get(page_url(client)).content.decode()
    assert page.index(f"session-log-{skipped.pk}") < page.index(f"session-log-{older.pk}")
    assert "skipped: ill" in page
    assert ">58<" in page


def test_sheets_without_a_log_wait(as_coach, as_assistant, desk):
    client = ClientFactory(coach=desk)
    sheet = IssuedSheetFactory(client=client)
    link = reverse("logs:session_log", args=[sheet.pk])
    assert link in as_coach.get(page_url(client)).content.decode()
    assert link not in as_assistant.get(page_url(client)).content.decode()
    logged(sheet)
    assert link not in as_coach.get(page_url(client)).content.decode()


def test_pages_follow_each_other_without_gaps(desk):
    client = ClientFactory(coach=desk)
    made = [logged(IssuedSheetFactory(client=client, for_on=TUESDAY - timedelta(days=n // 2))).pk for n in range(7)]
    seen, before = [], None
    for _ in range(4):
        page = sessions_page(client, before=before, limit=2)
        seen += [log.pk for log in page.logs]
        before = page.older_than
    assert before is None
    assert sorted(seen) == sorted(made)
    assert len(seen) == len(set(seen))


@pytest.mark.parametrize("before", ["x", "-1", "9" * 30, "0", "99999999", "\x00"])
def test_an_odd_page_number_begins_at_the_start(as_coach, desk, before):
    client = ClientFactory(coach=desk)
    log = logged(IssuedSheetFactory(client=client))
    page = as_coach.get(page_url(client), {"before": before})
    assert f"session-log-{log.pk}" in page.content.decode()


def test_an_empty_list_offers_the_first_step(as_coach, desk):
    client = ClientFactory(coach=desk)
    page = as_coach.get(page_url(client)).content.decode()
    assert "Sessions that were done or skipped are listed here" in page
    assert reverse("programs:client_programs", args=[client.pk]) in page


def test_as_a_panel_it_is_only_the_list(as_coach, desk):
    client = ClientFactory(coach=desk)
    part = as_coach.get(page_url(client), headers={"HX-Request": "true"}).content.decode()
    assert part.lstrip().startswith('<div id="client-sessions">')
    assert "<html" not in part


def test_who_may(as_assistant, as_stranger, anonymous, desk):
    client = ClientFactory(coach=desk)
    assert as_assistant.get(page_url(client)).status_code == 200
    assert as_stranger.get(page_url(client)).status_code == 404
    assert anonymous.get(page_url(client)).status_code == 302


def test_the_number_of_queries_does_not_grow(as_coach, desk, django_assert_max_num_queries):
    client = ClientFactory(coach=desk)
    for n in range(25):
        logged(IssuedSheetFactory(client=client, for_on=TUESDAY - timedelta(days=n)))
        IssuedSheetFactory(client=client)
    with django_assert_max_num_queries(10):
        as_coach.get(page_url(client))
