"""The door to a sheet for whoever holds its client's link: found, or 404 alike for another's and a missing one."""

from django.http import Http404, HttpRequest

from clients.links.doors import client_of_link
from coachdesk.practice.doors import BIGGEST_ID
from programs.logs.phone.selectors.today import sheets_of
from programs.models import IssuedSheet


def get_my_sheet_or_404(request: HttpRequest, pk: int) -> IssuedSheet:
    """A sheet of the client whose link this browser holds."""
    client = client_of_link(request)
    found = sheets_of(client).filter(pk=pk).first() if 0 < pk <= BIGGEST_ID else None
    if found is None:
        raise Http404
    found.client = client
    return found
