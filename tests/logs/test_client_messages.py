"""Messages from the phone on the desk: read, answered, and waiting on the roster."""

import pytest
from django.urls import reverse

from programs.logs.models import ClientMessage
from tests.factories.clients import ClientFactory
from tests.factories.phone import say

pytestmark = pytest.mark.django_db


@pytest.fixture
def message(desk, now):
    client = ClientFactory(coach=desk, name="Vera Lindholm")
    say(client, None, now)
    return ClientMessage.objects.get()


def answered(browser, message, answer="On Saturday.", version=1):
    return browser.post(reverse("logs:message_answer", args=[message.pk]), {"answer": answer, "version": version})


def test_a_message_waits_on_the_roster_until_it_is_answered(as_coach, message):
    assert "1 message not answered" in as_coach.get("/").content.decode()
    page = reverse("logs:client_messages", args=[message.client_id])
    assert "Shall I train on Friday?" in as_coach.get(page).content.decode()
    assert answered(as_coach, message).status_code == 302
    assert "On Saturday." in as_coach.get(page).content.decode()
    assert "not answered" not in as_coach.get("/").content.decode()
    message.refresh_from_db()
    assert (message.answered_by.user.name, message.version) == ("Ana Reis", 2)
    answered(as_coach, message, "", 2)
    assert "1 message not answered" in as_coach.get("/").content.decode()


def test_two_coaches_who_answer_at_once_do_not_overwrite_each_other(as_coach, as_owner, message):
    answered(as_coach, message)
    late = answered(as_owner, message, "On Sunday.")
    assert late.status_code == 409
    assert "Answered meanwhile: On Saturday." in late.content.decode()
    assert "On Sunday." in late.content.decode()
    message.refresh_from_db()
    assert message.answer == "On Saturday."


@pytest.mark.parametrize("answer", ["x" * 1001, "e" + "\u0301" * 10])
def test_an_answer_that_cannot_be_kept_comes_back_as_it_was_typed(as_coach, message, answer):
    refused = answered(as_coach, message, answer)
    assert refused.status_code == 422
    assert answer in refused.content.decode()


@pytest.mark.parametrize("version", ["", "x", "0", "-1", "9" * 30, "7"])
def test_versions_that_never_were_change_nothing_that_stands(as_coach, message, version):
    answered(as_coach, message)
    assert answered(as_coach, message, "Other", version).status_code in (409, 422)
    message.refresh_from_db()
    assert message.answer == "On Saturday."


def test_messages_are_shown_a_page_at_a_time(as_coach, message, now):
    for n in range(26):
        say(message.client, None, now, f"Message {n}")
    page = as_coach.get(reverse("logs:client_messages", args=[message.client_id])).content.decode()
    assert "Message 25" in page
    assert "Shall I train" not in page
    older = as_coach.get(page.split('id="messages-older" href="')[1].split('"')[0]).content.decode()
    assert "Shall I train" in older


@pytest.mark.parametrize("before", ["x", "-1", "\u00b2", "9" * 30, "\x00"])
def test_odd_pages_show_the_newest(as_coach, message, before):
    url = reverse("logs:client_messages", args=[message.client_id])
    assert as_coach.get(url, {"before": before}).status_code == 200
