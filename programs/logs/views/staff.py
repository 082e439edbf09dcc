"""The owner's page: who works here, and where clients need them."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import owner_of
from programs.logs.selectors.staff import staff_page
from programs.logs.services import bring_up_to_date


@require_GET
def staff_list(request: HttpRequest) -> HttpResponse:
    """Each coach with what waits for them; assistants, and who has left."""
    desk = owner_of(request)
    today = today_for(desk.practice, timezone.now())
    bring_up_to_date(desk, today)
    return render_page(request, "logs/staff_list.html", {"page": staff_page(desk, today)})
