"""Answering what a client wrote from the phone."""

from datetime import datetime

from clients.services.stale import take_over
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.logs.models import ClientMessage


def answer_message(
    *, by: Membership, message: ClientMessage, version: int, answer: str, now: datetime
) -> ClientMessage:  # fmt: skip
    """Write or change the answer; an empty one takes it back. Raises StaleForm when somebody answered otherwise."""
    client = message.client
    with write(f"Answer {client.name}", by=by, subject=f"messages:{client.pk}", at=now) as tape:
        row = tape.lock(message)
        take_over(row, version=version if 1 <= version <= row.version else 0, fields={"answer": answer})
        if not row.answer:
            row.answered_at, row.answered_by = None, None
        elif row.answer != message.answer or row.answered_at is None:
            row.answered_at, row.answered_by = now, by
        return tape.save(row)
