"""What other weights would make of the roster's order: a page of its own, and a panel of the house rules' preview."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.doors import get_client_or_404
from clients.models import Client
from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of
from coachdesk.practice.models import Practice
from programs.logs import selectors
from programs.logs.forms.weights import read_weights


@require_GET
def rule_order(request: HttpRequest) -> HttpResponse:
    """Weights set for everyone who has none of their own."""
    return _page(request, desk_of(request).practice)


@require_GET
def client_rule_order(request: HttpRequest, pk: int) -> HttpResponse:
    """Weights of one client."""
    return _page(request, get_client_or_404(request, pk))


def _page(request: HttpRequest, of: Client | Practice) -> HttpResponse:
    desk = desk_of(request)
    values, problems = read_weights(request.GET)
    today = today_for(desk.practice, timezone.now())
    context = {
        "order": selectors.new_order(desk, of, values, today=today), "problems": problems, "values": values,
        "client": of if isinstance(of, Client) else None,
    }  # fmt: skip
    return render_page(request, "logs/rule_order.html", context, partial="rules-order")
