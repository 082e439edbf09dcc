"""What one client did: the list of sessions, and trends; both also answer as a panel of the client page."""

from csp.decorators import csp_update
from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.doors import get_client_or_404
from clients.selectors import today_for
from coachdesk.htmx import render_page, wants_partial
from programs.logs import charts, selectors

# Plotly adds one empty <style> and a few style attributes; scripts stay as strict as everywhere.
EMPTY_STYLE = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
CHART_CSP = {"style-src": [EMPTY_STYLE], "style-src-attr": ["'unsafe-inline'"], "img-src": ["blob:"]}


@require_GET
def client_sessions(request: HttpRequest, pk: int) -> HttpResponse:
    """Sessions done and skipped, newest first, and sheets that wait for a log."""
    client = get_client_or_404(request, pk)
    before = request.GET.get("before", "")
    older = int(before) if before.isascii() and before.isdigit() and len(before) < 18 else None
    context = {"client": client, "page": selectors.sessions_page(client, before=older)}
    return render_page(request, "logs/client_sessions.html", context, partial="client-sessions")


@require_GET
@csp_update(CHART_CSP)  # type: ignore[arg-type]
def client_trends(request: HttpRequest, pk: int) -> HttpResponse:
    """Weekly sets of one muscle and strength in one exercise over time; a table of each as a panel."""
    client = get_client_or_404(request, pk)
    today = today_for(client, timezone.now())
    found = selectors.trends(
        client, today=today, muscle=request.GET.get("muscle", "")[:40],
        exercise=request.GET.get("exercise", "")[:200],
    )  # fmt: skip
    context = {"client": client, "trends": found, "report_block": selectors.block_to_report(client, today)}
    if found.muscle:
        context["muscle_sentence"] = charts.weekly_sets_sentence(found.muscle)
    if found.strength:
        context["strength_sentence"] = charts.strength_sentence(found.strength)
    if not wants_partial(request):
        context["muscle_figure"] = charts.weekly_sets_figure(found.muscle) if found.muscle else None
        context["strength_figure"] = charts.strength_figure(found.strength) if found.strength else None
    return render_page(request, "logs/client_trends.html", context, partial="client-trends")
