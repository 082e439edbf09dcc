"""The home page: who needs me today?"""

from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of
from coachdesk.practice.models import Membership
from programs.logs import selectors


@require_GET
def roster(request: HttpRequest) -> HttpResponse:
    """Every unarchived client a row, most needy first; `?q=` part of a name, `?coach=` for the owner."""
    desk = desk_of(request)
    query, coach = request.GET.get("q", "")[:200], request.GET.get("coach", "")
    is_owner = desk.role == Membership.Role.OWNER
    chosen = int(coach) if is_owner and coach.isascii() and coach.isdigit() and len(coach) < 18 else None
    today = timezone.localdate(timezone=ZoneInfo(desk.practice.time_zone))
    found = selectors.roster(desk, today=today, query=query, coach=chosen)
    context = {"rows": found.rows, "query": query, "coach": chosen, "today": today, "coaches": found.coaches}
    return render_page(request, "logs/roster.html", context, partial="roster")
