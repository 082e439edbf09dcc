"""The doors to what stands in a client's calendar."""

from django.http import Http404, HttpRequest

from clients.selectors import visible_clients
from coachdesk.practice.doors import desk_of, get_or_404
from programs.doors import get_session_or_404
from programs.models import Absence, ClientDate, PlannedSession


def get_absence_or_404(request: HttpRequest, pk: int) -> Absence:
    """Days away of a client this person may see."""
    clients = visible_clients(desk_of(request)).order_by().values("pk")
    rows = Absence.objects.filter(client__in=clients).select_related("client__practice", "client__place")
    return get_or_404(rows, request, pk)


def get_client_date_or_404(request: HttpRequest, pk: int) -> ClientDate:
    """A test day or date to peak for of a client this person may see."""
    clients = visible_clients(desk_of(request)).order_by().values("pk")
    rows = ClientDate.objects.filter(client__in=clients).select_related("client__practice", "client__place", "exercise")
    return get_or_404(rows, request, pk)


def get_dated_session_or_404(request: HttpRequest, pk: int) -> PlannedSession:
    """A planned session with a day of its own: one of a client's programme in use, not of a template."""
    session = get_session_or_404(request, pk)
    program = session.block.program
    if program.client is None or program.archived_on is not None:
        raise Http404
    return session
