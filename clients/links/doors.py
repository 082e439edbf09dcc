"""The door for whoever holds a client's link, and the coach's door to a link."""

from django.http import Http404, HttpRequest
from django.utils import timezone

from clients.links.selectors import link_of_token, visible_links
from clients.models import Client, ClientLink
from coachdesk.practice.doors import desk_of, get_or_404

COOKIE = "phone"
# The cookie goes to the client's own pages and to no page of a coach.
PHONE_PATH = "/my/"


class LinkRefused(Http404):
    """No link, or one that opens nothing now; answered alike, whatever the reason."""


def client_of_link(request: HttpRequest) -> Client:
    """The client whose link this browser holds, with practice, place and coach. Raises LinkRefused.

    Nothing is remembered between requests, so that a link revoked a moment ago opens nothing any more.
    """
    link = link_of_token(request.COOKIES.get(COOKIE, ""), ClientLink.Kind.PHONE, timezone.now())
    if link is None:
        raise LinkRefused
    return link.client


def get_link_or_404(request: HttpRequest, pk: int) -> ClientLink:
    """A link of a client this member may see."""
    return get_or_404(visible_links(desk_of(request)), request, pk)
