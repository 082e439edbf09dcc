"""The words of a handover's note: counted and taken out at a client's wish, like those of messages."""

from datetime import datetime

from clients.models import Client, Handover
from clients.records.words import Words, with_words


def _noted(client: Client) -> int:
    return Handover.objects.filter(client=client).exclude(note="").count()


def _erase(client: Client, until: datetime) -> None:
    Handover.objects.filter(client=client, handed_at__lte=until).update(note="")


with_words(Words("note of a handover", "notes of handovers", _noted, _erase, {"clients.handover": {"note": True}}))
