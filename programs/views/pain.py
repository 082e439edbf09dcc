"""Pain and return: what a client said, what the rule asks for, and the ways out for the running programme."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.doors import get_client_or_404
from clients.selectors import today_for
from coachdesk.htmx import render_page
from programs.selectors.pain_page import pain_page


@require_GET
def client_pain(request: HttpRequest, pk: int) -> HttpResponse:
    """The last reports, the answers with their source, and the flags that stand against the programme."""
    client = get_client_or_404(request, pk)
    page = pain_page(client, today_for(client, timezone.now()))
    return render_page(request, "programs/client_pain.html", {"client": client, "page": page}, partial="panel")
