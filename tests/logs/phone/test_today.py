"""The client's first page: what is to do, what is saved, messages to and from the coach."""

from datetime import timedelta
from uuid import UUID

import pytest
from django.urls import reverse

from clients.links.doors import COOKIE, PHONE_PATH
from programs.logs.models import ClientMessage
from programs.logs.phone.entries import Rated, SetDone
from programs.logs.phone.services import record_entry
from programs.logs.services import answer_message
from programs.services import issue_sheet
from tests.factories.links import with_link
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import MONDAY, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

pytestmark = pytest.mark.django_db
HOME = "/my/"


@pytest.fixture
def session(linked, gym, desk):
    """One planned for today."""
    linked.place = gym
    linked.save()
    program = ProgramFactory(coach=desk, client=linked, start_on=MONDAY)
    session = PlannedSessionFactory(program=program, day=1, name="Upper A")
    PlannedExerciseFactory(session=session)
    return session


@pytest.fixture
def sheet(session, desk):
    return issue_sheet(by=desk, session=session, now=NOON, why="Known well.")


def part(browser, name):
    page = browser.get(HOME).content.decode()
    return page.split(f'<section id="{name}">')[1].split("</section>")[0] if f'id="{name}"' in page else ""


def say(sheet, entry, key="0" * 31 + "1"):
    return record_entry(client=sheet.client, sheet=sheet, key=UUID(key), entry=entry, now=NOON)


def test_with_nothing_planned_it_says_what_will_stand_there(as_client):
    assert "Sessions stand here once your coach has handed one out" in part(as_client, "due")


def test_todays_session_leads_to_its_sheet_once_it_was_handed_out(as_client, session, desk):
    assert "Upper A" in part(as_client, "due")
    assert "has not handed it out yet" in part(as_client, "due")
    sheet = issue_sheet(by=desk, session=session, now=NOON, why="Known well.")
    assert f'href="{reverse("phone:session", args=[sheet.pk])}"' in part(as_client, "due")


def test_a_session_begun_stays_until_it_is_rated_and_stands_among_the_saved(as_client, sheet):
    say(sheet, SetDone("1-1-1-b", reps=8, load=40_000))
    assert "1 set saved" in part(as_client, "due")
    say(sheet, Rated(7), "0" * 31 + "2")
    assert "Upper A" not in part(as_client, "due")
    assert "rated 7 of 10" in part(as_client, "saved")


def test_a_plan_changed_after_a_session_was_begun_leaves_the_sheet_that_was_begun(as_client, sheet, session, desk):
    say(sheet, SetDone("1-1-1-b", reps=8, load=40_000))
    PlannedExerciseFactory(session=session)
    newer = issue_sheet(by=desk, session=session, now=NOON, why="Known well.")
    assert newer.pk != sheet.pk
    page = part(as_client, "due")
    assert reverse("phone:session", args=[sheet.pk]) in page
    assert reverse("phone:session", args=[newer.pk]) not in page


def test_yesterdays_session_can_still_be_logged_and_the_next_is_seen(as_client, session, sheet):
    session.day = 0
    session.save()
    assert "Mon 23 Nov" in part(as_client, "behind")
    session.day = 3
    session.save()
    assert "Thu 26 Nov" in part(as_client, "coming")
    assert (TUESDAY + timedelta(days=2)).isoformat() == "2026-11-26"


def test_a_message_is_sent_once_and_its_answer_is_read(as_client, desk):
    form = {"key": "0" * 31 + "7", "kind": "message", "text": "May I swap Friday?"}
    for _ in range(2):
        assert as_client.post(reverse("phone:message_new"), form)["Location"] == "/my/#messages"
    message = ClientMessage.objects.get()
    assert "not answered yet" in part(as_client, "messages")
    answer_message(by=desk, message=message, version=1, answer="Yes, take Saturday.", now=NOON)
    assert "Yes, take Saturday." in part(as_client, "messages")
    assert "not answered yet" not in part(as_client, "messages")


@pytest.mark.parametrize("text", ["", " ", "\x00", "x" * 1001, "e" + "\u0301" * 12])
def test_a_message_that_cannot_be_kept_comes_back_as_it_was_typed(as_client, text):
    refused = as_client.post(reverse("phone:message_new"), {"key": "0" * 31 + "7", "text": text})
    assert refused.status_code == 422
    assert text.strip("\x00 ") in refused.content.decode()
    assert not ClientMessage.objects.exists()


def test_markup_in_a_message_is_text(as_client):
    form = {"key": "0" * 31 + "7", "text": "<script>alert(1)</script>"}
    as_client.post(reverse("phone:message_new"), form)
    assert "<script>alert" not in as_client.get(HOME).content.decode()


def test_the_first_page_needs_few_queries(as_client, sheet, django_assert_max_num_queries):
    say(sheet, SetDone("1-1-1-b", reps=8, load=40_000))
    with django_assert_max_num_queries(10):
        as_client.get(HOME)


def test_a_forgotten_link_opens_nothing_in_this_browser_and_still_opens_elsewhere(linked, as_client):
    other = with_link(linked)
    answer = as_client.post(reverse("phone:forget"))
    assert answer.url == reverse("phone:forgotten")
    gone = answer.cookies[COOKIE]
    assert (gone.value, gone["path"], gone["max-age"]) == ("", PHONE_PATH, 0)
    assert as_client.get(reverse("phone:forgotten")).status_code == 200
    del as_client.cookies[COOKIE]
    assert as_client.get(reverse("phone:today")).status_code == 404
    assert as_client.post(reverse("phone:forget")).status_code == 404
    assert other.get(reverse("phone:today")).status_code == 200
