"""The door for whoever holds a client's link, and the coach's door to a link."""

from django.conf import settings
from django.http import Http404, HttpRequest
from django.utils import timezone

from clients.links.selectors import link_of_token, visible_links
from clients.models import Client, ClientLink
from coachdesk.practice.doors import desk_of, get_or_404

COOKIE = "phone"
# The cookie goes to the client's own pages and to no page of a coach.
PHONE_PATH = "/my/"
# On every answer to an address that names a token.
UNSEEN = {"Cache-Control": "no-store", "Referrer-Policy": "no-referrer"}


class LinkRefused(Http404):
    """A link that opens nothing now; answered alike, whatever the reason."""


class LinkMissing(LinkRefused):
    """No link was opened in this browser."""


def client_of_link(request: HttpRequest) -> Client:
    """The client whose link this browser holds, with practice, place and coach. Raises LinkRefused, LinkMissing.

    Nothing is remembered between requests, so that a link revoked a moment ago opens nothing any more.
    """
    token = request.COOKIES.get(COOKIE, "")
    if not token:
        raise LinkMissing
    return client_of_token(token, ClientLink.Kind.PHONE)


def client_of_token(token: str, kind: str) -> Client:
    """The client whose link of this kind the token opens now. Raises LinkRefused."""
    link = link_of_token(token, kind, timezone.now())
    if link is None:
        raise LinkRefused
    return link.client


def phone_base(request: HttpRequest) -> str:
    """Where phones find this desk, by the host of this request, such as 'https://desk.example.org'.

    '' for a desk that runs for its own machine only: no phone reaches that, and a code must not pretend.
    """
    return f"{request.scheme}://{request.get_host()}" if settings.ENV.served else ""


def get_link_or_404(request: HttpRequest, pk: int) -> ClientLink:
    """A link of a client this member may see."""
    return get_or_404(visible_links(desk_of(request)), request, pk)
