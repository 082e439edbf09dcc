"""Reading links: whom a token opens, and a client's own."""

from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import QuerySet

from clients.models import Client, ClientLink
from clients.selectors import today_for, visible_clients
from coachdesk.practice.digest import digest_if_token
from coachdesk.practice.models import Membership


def link_of_token(token: str, kind: str, now: datetime) -> ClientLink | None:
    """The link of this kind that the token opens now, with client, place and coach; None for every other token.

    None alike for one that never was, was revoked or has expired, and for a client who is archived or erased.
    """
    digest = digest_if_token(token)
    if digest is None:
        return None
    rows = ClientLink.objects.select_related("client__practice", "client__place", "client__coach__user")
    link = rows.filter(token_hash=digest, kind=kind, revoked_at=None, client__archived_on=None).first()
    return link if link is not None and today_for(link.client, now) <= link.expires_on else None


def visible_links(desk: Membership) -> QuerySet[ClientLink]:
    """Links of the clients this member may see."""
    clients = visible_clients(desk).order_by().values("pk")
    return ClientLink.objects.filter(client__in=clients).select_related("client").order_by("-id")


@dataclass(frozen=True)
class LinkRow:
    """One link in the list: whether it opens now, and the reason in a word or two when it does not."""

    link: ClientLink
    opens: bool
    state: str


def link_rows(client: Client, now: datetime) -> list[LinkRow]:
    """A client's links, newest first, with those that open nothing any more after those that do."""
    today = today_for(client, now)
    links = client.links.select_related("made_by__user").order_by("-id")
    rows = [LinkRow(link, not (state := _why_not(link, client, today)), state or "in force") for link in links]
    return sorted(rows, key=lambda row: not row.opens)


def _why_not(link: ClientLink, client: Client, today: date) -> str:
    if link.revoked_at is not None:
        return "revoked"
    if link.expires_on < today:
        return "expired"
    return "" if client.archived_on is None else "rests: client archived"
