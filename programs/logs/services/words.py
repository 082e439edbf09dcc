"""The words in messages, reasons and notes of sessions: how much there is, and taking it out at a client's wish."""

from datetime import datetime

from django.db.models import QuerySet

from clients.models import Client
from clients.records.words import REMOVED, Words, with_words
from programs.logs.models import ClientMessage, Departure, PhoneEntry, SessionLog

# What the desk itself writes where a session was shortened.
SHORT = "no time: "


def _messages(client: Client) -> QuerySet[ClientMessage]:
    return ClientMessage.objects.filter(client=client).exclude(text=REMOVED)


def _skipped(client: Client) -> QuerySet[SessionLog]:
    return SessionLog.objects.filter(client=client).exclude(skipped_why__in=["", REMOVED])


def _departures(client: Client) -> QuerySet[Departure]:
    rows = Departure.objects.filter(session_log__client=client).exclude(why__in=["", REMOVED])
    return rows.exclude(why__startswith=SHORT)


def _noted(client: Client) -> QuerySet[SessionLog]:
    return SessionLog.objects.filter(client=client).exclude(note="")


def _erase_messages(client: Client, until: datetime) -> None:
    rows = _messages(client).filter(sent_at__lte=until)
    rows.exclude(answer="").update(answer=REMOVED)
    rows.update(text=REMOVED)
    _empty_entries(PhoneEntry.objects.filter(client=client, kind="message", at__lte=until), "text")


def _erase_reasons(client: Client, until: datetime) -> None:
    _skipped(client).filter(logged_at__lte=until).update(skipped_why=REMOVED)
    _departures(client).filter(session_log__logged_at__lte=until).update(why=REMOVED)
    _empty_entries(PhoneEntry.objects.filter(client=client, kind__in=("skip", "swap"), at__lte=until), "why")


def _empty_entries(entries: QuerySet[PhoneEntry], name: str) -> None:
    """What the phone sent loses its words, and the digest by which they could be guessed; its key stays known."""
    for row in entries.order_by("id"):
        if row.payload.get(name):
            row.payload[name] = REMOVED
        row.aside, row.sent = REMOVED if row.aside else "", ""
        row.save(update_fields=["payload", "aside", "sent"])


def _erase_notes(client: Client, until: datetime) -> None:
    _noted(client).filter(logged_at__lte=until).update(note="")


with_words(Words(
    "message with its answer", "messages with their answers", lambda client: _messages(client).count(),
    _erase_messages, {"logs.clientmessage": {"text": False, "answer": False}},
))  # fmt: skip
with_words(Words(
    "reason why something was skipped, left out or swapped", "reasons why something was skipped, left out or swapped",
    lambda client: _skipped(client).count() + _departures(client).count(), _erase_reasons,
    {"logs.sessionlog": {"skipped_why": False}, "logs.departure": {"why": False}},
))  # fmt: skip
with_words(Words(
    "note of a session", "notes of sessions", lambda client: _noted(client).count(), _erase_notes,
    {"logs.sessionlog": {"note": True}},
))  # fmt: skip
