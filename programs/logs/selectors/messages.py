"""What clients wrote from their phones, and what was said there that the desk kept aside."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import QuerySet

from clients.models import Client
from clients.selectors import visible_clients
from coachdesk import engine
from coachdesk.practice.models import Membership
from programs.logs.mapping import sheet_exercises
from programs.logs.models import ClientMessage, PhoneEntry, SessionLog
from programs.models import IssuedSheet

PAGE = 25
SIDES = {"l": ", left", "r": ", right"}


@dataclass(frozen=True)
class MessageRow:
    """One message; `typed`, `theirs` and `error` where an answer was refused."""

    message: ClientMessage
    typed: str | None = None
    theirs: str = ""
    error: str = ""

    @property
    def value(self) -> str:
        return self.message.answer if self.typed is None else self.typed


@dataclass(frozen=True)
class MessagesPage:
    """One page of a client's messages, newest first."""

    rows: list[MessageRow] = field(default_factory=list)
    older_than: int | None = None


def visible_messages(desk: Membership) -> QuerySet[ClientMessage]:
    """Messages of the clients this member may see."""
    clients = visible_clients(desk).order_by().values("pk")
    return ClientMessage.objects.filter(client__in=clients).select_related("client__practice", "answered_by__user")


def messages_page(client: Client, *, before: int | None = None, changed: MessageRow | None = None) -> MessagesPage:
    """Up to 25 messages older than the one with id `before`; `changed` stands in for its own."""
    found = client.messages.select_related("answered_by__user", "sheet").order_by("-id")
    rows = list(found.filter(pk__lt=before)[: PAGE + 1] if before else found[: PAGE + 1])
    swap = {changed.message.pk: changed} if changed else {}
    shown = [swap.get(row.pk, MessageRow(row)) for row in rows[:PAGE]]
    return MessagesPage(shown, rows[PAGE - 1].pk if len(rows) > PAGE else None)


def kept_aside(session_log: SessionLog) -> list[str]:
    """What the phone said of this session that was not taken over, in words, oldest first."""
    if session_log.sheet is None or not getattr(session_log, "has_aside", True):
        return []
    return aside_words(list(session_log.sheet.phone_entries.order_by("id")), session_log.sheet)


def aside_words(rows: Sequence[PhoneEntry], sheet: IssuedSheet) -> list[str]:
    """Those of these entries that were kept aside, in words."""
    names = {str(one.position): one.name for one in sheet_exercises(sheet.body)}
    return [_said(row, names, sheet.body.get("unit", "kg")) for row in rows if row.aside]


def _said(row: PhoneEntry, names: Mapping[str, str], unit: str) -> str:
    said, place = row.payload, str(row.payload.get("slot") or row.payload.get("place") or row.payload.get("position"))
    parts = place.split("-")
    name = names.get(parts[0], "the session")
    where = f"{name}, set {parts[1]}{SIDES.get(parts[-1], '')}" if len(parts) == 4 else name
    return f"{where}: {_values(row.kind, said, unit)}. {row.aside}"


def _values(kind: str, said: Mapping[str, Any], unit: str) -> str:
    if kind == "set":
        if said["as_written"]:
            return "done as written"
        load = engine.load_in_words(said["load"], unit) if said["load"] else said["setting"] or ""
        rir = "" if said["rir"] is None else f", RIR {said['rir']:g}"
        return f"{load + ' x ' if load else ''}{said['reps']}{rir}"
    if kind == "pain":
        return f"pain {said['pain']}"
    if kind == "rating":
        return f"rating {said['rating']}, {said['minutes']} min"
    return "not done" if kind == "clear" else f"left out: {said.get('why') or 'no reason'}"
