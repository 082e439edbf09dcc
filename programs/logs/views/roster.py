"""The home page: who needs me today?"""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of
from programs.logs import selectors
from programs.logs.forms.roster import read_roster
from programs.logs.services import bring_up_to_date


@require_GET
def roster(request: HttpRequest) -> HttpResponse:
    """Unarchived clients, most needy first, page after page; the filter stands in the address."""
    desk = desk_of(request)
    today = today_for(desk.practice, timezone.now())
    bring_up_to_date(desk, today)
    choices = selectors.roster_choices(desk)
    form = read_roster(request.GET, desk, choices)
    page = selectors.roster_page(desk, today=today, wanted=form.wanted, after=form.after)
    context = {"page": page, "form": form, "today": today, "coaches": choices.coaches}
    return render_page(request, "logs/roster.html", context, partial="roster")
