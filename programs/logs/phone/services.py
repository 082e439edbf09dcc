"""The one way in which anything said on a phone is written: under the key that the phone made, once."""

from datetime import datetime
from uuid import UUID

from django.core.exceptions import ValidationError

from clients.models import Client
from coachdesk.practice.tape import Tape, write
from programs.logs.mapping import sheet_key
from programs.logs.models import ClientMessage, PhoneEntry
from programs.logs.phone.applying import apply
from programs.logs.phone.days import day_said
from programs.logs.phone.entries import Entry, Said, SetDone, payload_of
from programs.logs.phone.visit import Aside, Visit, logs_of
from programs.logs.services.replays import KeyReused, Replayed
from programs.logs.services.subjects import subject_of
from programs.models import IssuedSheet

REUSED = "This was sent before with other values; load the page again to see what is saved."
# What the tape calls acts of a client, who is no member of the practice.
SOURCE = "client"
WHAT = {
    "set": "Log a set", "clear": "Take out a set", "skip": "Leave out", "swap": "Swap an exercise", "pain": "Say pain",
    "rating": "Rate the session", "message": "Write to the coach", "short": "Shorten the session",
}  # fmt: skip


def record_entry(
    *,
    client: Client,
    sheet: IssuedSheet | None,
    key: UUID,
    entry: Entry,
    now: datetime,
    ago_s: float = 0.0,
    sent: str = "",
) -> PhoneEntry:
    """Keep one thing said on a phone, and what follows from it, in one act. The same key and payload: the first row.

    `sheet` may be missing for a message only; `ago_s`: how long ago the phone says it was; `sent`: the digest of the
    item that a queue sent, by which it is known again though it would be read otherwise by now. A row with `aside` was
    kept and not taken over, because somebody had written otherwise. Raises KeyReused for a known key with another
    payload, ValidationError for what cannot be; then nothing is written.
    """
    day = day_said(client, sheet, now, ago_s)
    row = PhoneEntry(
        client=client, sheet=sheet, key=key, kind=entry.kind, payload=payload_of(entry), at=now, done_on=day, sent=sent
    )  # fmt: skip
    try:
        with write(_label(entry, client), practice=client.practice, subject=_subject(client, sheet, entry),
                   source=SOURCE, at=now) as tape:  # fmt: skip
            client = tape.lock(client)
            refuse_replay(row)
            row.aside = _applied(tape, row, client, entry)
            tape.create(row, record=False)
    except Replayed as replay:
        return replay.row  # type: ignore[return-value]
    return row


def _applied(tape: Tape, row: PhoneEntry, client: Client, entry: Entry) -> str:
    """Write what follows; gives why it was only kept aside, or ''."""
    if isinstance(entry, Said):
        tape.create(ClientMessage(client=client, sheet=row.sheet, text=entry.text, sent_at=row.at))
        return ""
    if row.sheet is None:
        raise ValidationError("This belongs to a session; open it again and try once more.")
    try:
        apply(Visit(tape, client, row.sheet, row.key, row.done_on, row.at), entry)
    except Aside as aside:
        return aside.words[:300]
    return ""


def _subject(client: Client, sheet: IssuedSheet | None, entry: Entry) -> str:
    if sheet is None or isinstance(entry, Said):
        return f"messages:{client.pk}"
    log, _ = logs_of(client, sheet)
    return subject_of(log.key if log else sheet_key(sheet.uid))


def _label(entry: Entry, client: Client) -> str:
    what = WHAT[entry.kind]
    if isinstance(entry, SetDone) and entry.over:
        what = "Correct a set"
    return f"{what}, {client.name} on the phone"


def entry_under(client: Client, key: UUID) -> PhoneEntry | None:
    """What this client's key stands for, if anything."""
    return PhoneEntry.objects.filter(client=client, key=key).first()


def refuse_replay(row: PhoneEntry) -> None:
    """Raises Replayed or KeyReused when this client's key is known; quiet when it is new. Keys never expire."""
    known = entry_under(row.client, row.key)
    if known is None:
        return
    if row.sent and known.sent == row.sent:
        raise Replayed(known)
    if (known.kind, known.payload, known.sheet_id) == (row.kind, row.payload, row.sheet_id):
        raise Replayed(known)
    raise KeyReused(known, REUSED)
