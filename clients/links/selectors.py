"""Reading links: whom a token opens, and a client's own."""

from datetime import datetime

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
    return ClientLink.objects.filter(client__in=clients).select_related("client", "made_by__user").order_by("-id")


def links_of(client: Client) -> QuerySet[ClientLink]:
    """A client's links, newest first, revoked and expired ones too."""
    return client.links.select_related("made_by__user").order_by("-id")
