"""Words in messages, reasons and notes of sessions: kept and said to be when consent is withdrawn, and taken out."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from clients.models import Client
from clients.records.erased import WORDS, erased
from clients.records.services import erase_again, take_consent_back
from clients.records.words import LABEL, erase_words, words_kept
from coachdesk.practice.models import Act
from coachdesk.practice.tape import UndoConflict, undo
from programs.logs.models import ClientMessage, Departure, PhoneEntry, SessionLog
from programs.logs.phone.entries import Said, Skipped
from programs.logs.phone.services import record_entry
from programs.logs.services import answer_message, edit_session_log, skip_session
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, logged
from tests.factories.marked import MARKER
from tests.traces import tables, traces

pytestmark = pytest.mark.django_db


@pytest.fixture
def talked(desk, now) -> Client:
    """A client who wrote, was answered, left a set out, skipped a session; each with the marker, each on the tape."""
    client = ClientFactory(coach=desk, name="Rosa Lind")
    sheet, other = (IssuedSheetFactory(client=client) for _ in range(2))
    record_entry(client=client, sheet=sheet, key=uuid4(), entry=Said(f"{MARKER} back"), now=now)
    message = ClientMessage.objects.get()
    answer_message(by=desk, message=message, version=1, answer=f"{MARKER} rest", now=now)
    record_entry(client=client, sheet=sheet, key=uuid4(), entry=Skipped("1-3-1-b", f"{MARKER} elbow"), now=now)
    skip_session(by=desk, sheet=other, key=uuid4(), skipped_why=f"{MARKER} ill", on=other.for_on, now=now)
    log = logged(IssuedSheetFactory(client=client), note=f"{MARKER} noted")
    edit_session_log(by=desk, session_log=log, version=1, values={"note": f"{MARKER} again"}, now=now)
    return client


def withdrawn(desk, client, now):
    take_consent_back(by=desk, client=client, now=now, erase=True)


def test_withdrawing_keeps_them_and_the_page_says_what_is_kept_and_why(as_coach, desk, talked, now):
    url = reverse("clients:client_records", args=[talked.pk])
    page = as_coach.get(url).content.decode()
    counts = ("1 message with its answer", "2 reasons why something was skipped, left out or swapped")
    assert all(words in page for words in (*counts, "1 note of a session", "withdraw-words"))
    assert as_coach.post(reverse("clients:consent_withdraw", args=[talked.pk]), {"erase": "1"}).status_code == 302
    page = as_coach.get(url).content.decode()
    for words in (*counts, "Messages and reasons are still here", "They are no health notes", "words-erase"):
        assert words in page
    assert ClientMessage.objects.get().text == f"{MARKER} back"


def test_the_words_go_and_what_happened_stays(as_coach, desk, talked, now):
    withdrawn(desk, talked, now)
    assert len(traces(tables())) > 8
    before = list(PhoneEntry.objects.order_by("id").values_list("key", "kind"))
    assert as_coach.post(reverse("clients:words_erase", args=[talked.pk])).status_code == 302
    assert not traces(tables())
    message = ClientMessage.objects.get()
    assert (message.text, message.answer, message.answered_by) == ("removed", "removed", desk)
    assert [row.why for row in Departure.objects.all()] == ["removed"]
    assert sorted(SessionLog.objects.values_list("status", "skipped_why", "note")) == [
        ("done", "", ""), ("done", "", ""), ("skipped", "removed", "")
    ]  # fmt: skip
    assert list(PhoneEntry.objects.order_by("id").values_list("key", "kind")) == before
    assert words_kept(talked) == []
    assert "words-erase" not in as_coach.get(reverse("clients:client_records", args=[talked.pk])).content.decode()


def test_one_tick_does_both(as_coach, talked):
    url = reverse("clients:consent_withdraw", args=[talked.pk])
    assert as_coach.post(url, {"erase": "1", "words": "1"}).status_code == 302
    assert not traces(tables())
    assert as_coach.post(url, {"erase": "1", "words": "1"}).status_code == 302


def test_while_consent_holds_or_nobody_asked_nothing_is_taken_out(as_coach, desk, talked, now):
    with pytest.raises(ValidationError, match="has not taken consent back"):
        erase_words(by=desk, client=talked, now=now)
    assert as_coach.post(reverse("clients:words_erase", args=[talked.pk])).status_code == 302
    unasked = ClientFactory(coach=desk, consent=False)
    both = reverse("clients:consent_withdraw", args=[unasked.pk])
    assert as_coach.post(both, {"erase": "1", "words": "1"}).status_code == 302
    with pytest.raises(ValidationError, match="has not taken consent back"):
        erase_words(by=desk, client=unasked, now=now)
    assert ClientMessage.objects.get().text == f"{MARKER} back"
    assert WORDS not in [one.what for one in erased()]


def test_what_another_client_wrote_and_what_the_desk_wrote_stay(desk, talked, now):
    other = ClientFactory(coach=desk)
    record_entry(client=other, sheet=None, key=uuid4(), entry=Said("Friday?"), now=now)
    log = logged(IssuedSheetFactory(client=talked))
    Departure.objects.create(session_log=log, place="1-3-1-b", why="no time: 25 min")
    withdrawn(desk, talked, now)
    erase_words(by=desk, client=talked, now=now)
    assert ClientMessage.objects.get(client=other).text == "Friday?"
    assert Departure.objects.get(session_log=log).why == "no time: 25 min"


def test_they_do_not_come_back_by_undo(desk, talked, now):
    answered = Act.objects.get(label="Answer Rosa Lind")
    withdrawn(desk, talked, now)
    erase_words(by=desk, client=talked, now=now)
    with pytest.raises(UndoConflict):
        undo(Act.objects.filter(label=LABEL).latest("id"), by=desk)
    undo(answered, by=desk)
    assert not traces(tables())


def test_an_old_copy_put_back_loses_them_once_and_later_words_stay(desk, talked, now):
    withdrawn(desk, talked, now)
    erase_words(by=desk, client=talked, now=now)
    assert WORDS in [one.what for one in erased()]
    # As the old copy has it: the words are there, and the act is not.
    Act.objects.filter(label=LABEL).delete()
    ClientMessage.objects.update(text=f"{MARKER} back")
    later = now + timedelta(days=2)
    record_entry(client=talked, sheet=None, key=uuid4(), entry=Said("See you on Friday"), now=later)
    erase_again(now=later)
    assert sorted(ClientMessage.objects.values_list("text", flat=True)) == ["See you on Friday", "removed"]
    ClientMessage.objects.update(text="Written anew")
    erase_again(now=later)
    assert set(ClientMessage.objects.values_list("text", flat=True)) == {"Written anew"}
