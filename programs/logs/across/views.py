"""Muscles over the practice, the clients of one programme, and what a client's RIR answers are worth."""

from csp.decorators import csp_update
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.doors import get_client_or_404
from clients.selectors import today_for
from coachdesk.practice.doors import desk_of
from programs.logs.across.charts import effort_chart, program_chart
from programs.logs.across.effort import effort_of
from programs.logs.across.muscles import muscles_page
from programs.logs.across.programme import program_clients
from programs.logs.views.client import CHART_CSP
from programs.versions.doors import get_template_or_404


@require_GET
def muscle_list(request: HttpRequest) -> HttpResponse:
    """How many clients are under, inside and over each muscle's band in a week, with the names behind one."""
    desk, asked = desk_of(request), request.GET
    today = today_for(desk.practice, timezone.now())
    page = muscles_page(desk, today=today, week=asked.get("week", "")[:40], muscle=asked.get("muscle", "")[:40])
    return render(request, "logs/muscle_list.html", {"page": page})


@require_GET
@csp_update(CHART_CSP)  # type: ignore[arg-type]
def program_client_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Clients on one template compared: attendance, change of one lift with its interval, typed reserve."""
    template, desk = get_template_or_404(request, pk), desk_of(request)
    today = today_for(desk.practice, timezone.now())
    page = program_clients(desk, template, today=today, exercise=request.GET.get("exercise", "")[:40])
    return render(request, "logs/program_client_list.html", {"page": page, "chart": program_chart(page)})


@require_GET
@csp_update(CHART_CSP)  # type: ignore[arg-type]
def client_effort(request: HttpRequest, pk: int) -> HttpResponse:
    """RIR as typed against what the model expects, with the doubt and the number of sets."""
    client = get_client_or_404(request, pk)
    effort = effort_of(client, today=today_for(client, timezone.now()))
    context = {"client": client, "effort": effort, "chart": effort_chart(effort)}
    return render(request, "logs/client_effort.html", context)
