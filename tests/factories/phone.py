"""What a client said on the phone, for tests."""

from datetime import datetime
from uuid import uuid4

from clients.models import Client
from programs.logs.models import PhoneEntry
from programs.logs.phone.entries import Said
from programs.logs.phone.services import record_entry
from programs.models import IssuedSheet


def say(client: Client, sheet: IssuedSheet | None, now: datetime, text: str = "Shall I train on Friday?") -> PhoneEntry:
    """A message to the coach."""
    return record_entry(client=client, sheet=sheet, key=uuid4(), entry=Said(text), now=now)
