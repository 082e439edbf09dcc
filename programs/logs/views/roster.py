"""The home page: who needs me today? And the views of it that are kept under a name."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from programs.logs import selectors
from programs.logs.doors import get_roster_view_or_404
from programs.logs.forms.roster import ViewForm, filter_choices, read_roster
from programs.logs.forms.roster_acts import act_choices
from programs.logs.services import bring_up_to_date
from programs.logs.services.roster_views import keep_view, remove_view


@require_GET
def roster(request: HttpRequest) -> HttpResponse:
    """Unarchived clients, most needy first, page after page; the filter stands in the address."""
    return _page(request, request.GET)


@require_POST
def roster_view_new(request: HttpRequest) -> HttpResponse:
    """Keep the present filter under a name."""
    by, form = writer_of(request), ViewForm(request.POST)
    asked = QueryDict(request.POST.get("filters", "")[:2000])
    if not form.is_valid():
        return _page(request, asked, view_form=form, status=422)
    shown = read_roster(asked, by, selectors.roster_choices(by))
    data = form.cleaned_data
    try:
        keep_view(by=by, name=data["name"], filters=shown.kept, is_shared=data["is_shared"], now=timezone.now())
    except ValidationError as wrong:
        put_errors(form, wrong)
        return _page(request, asked, view_form=form, status=422)
    messages.success(request, f"The view {data['name']} is kept.")
    return redirect(f"{reverse('logs:roster')}?{shown.address}")


@require_POST
def roster_view_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget a view."""
    view = get_roster_view_or_404(request, pk)
    remove_view(by=writer_of(request), view=view, now=timezone.now())
    messages.success(request, f"The view {view.name} is removed. Undo it on the page of changes.")
    return redirect("logs:roster")


def _page(request: HttpRequest, asked: QueryDict, *, status: int = 200, **more: Any) -> HttpResponse:
    desk = desk_of(request)
    today = today_for(desk.practice, timezone.now())
    bring_up_to_date(desk, today)
    choices = selectors.roster_choices(desk)
    form = read_roster(asked, desk, choices)
    context = {
        "page": selectors.roster_page(desk, today=today, wanted=form.wanted, after=form.after), "form": form,
        "today": today, "coaches": choices.coaches, "views": selectors.view_lines(desk, filter_choices(desk, choices)),
        "acts": act_choices(desk, choices.coaches), "ticks_all": asked.get("tick") == "all",
        "view_form": ViewForm(initial={"filters": form.address}), **more,
    }  # fmt: skip
    return render_page(request, "logs/roster.html", context, partial="roster", status=status)
