"""What one client did: the list of sessions, and trends; both also answer as a panel of the client page."""

from csp.decorators import csp_update
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from clients.doors import get_client_or_404
from clients.selectors import today_for
from coachdesk.htmx import render_page, wants_partial
from programs.logs import selectors
from programs.logs.trends.block_charts import block_charts
from programs.logs.trends.blocks import blocks_page
from programs.logs.trends.charts import charts_of
from programs.logs.trends.page import Asked, trends_page

# Plotly adds one empty <style> and a few style attributes; scripts stay as strict as everywhere.
EMPTY_STYLE = "'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='"
CHART_CSP = {"style-src": [EMPTY_STYLE], "style-src-attr": ["'unsafe-inline'"], "img-src": ["blob:"]}


@require_GET
def client_sessions(request: HttpRequest, pk: int) -> HttpResponse:
    """Sessions done and skipped, newest first, and sheets that wait for a log."""
    client = get_client_or_404(request, pk)
    before = request.GET.get("before", "")
    older = int(before) if before.isascii() and before.isdigit() and len(before) < 18 else None
    page, today = selectors.sessions_page(client, before=older), today_for(client, timezone.now())
    context = {"client": client, "page": page, "today": today}
    return render_page(request, "logs/client_sessions.html", context, partial="client-sessions")


@require_GET
@csp_update(CHART_CSP)  # type: ignore[arg-type]
def client_trends(request: HttpRequest, pk: int) -> HttpResponse:
    """Sets, strength, fatigue, load, attendance and minutes over the weeks; two tables of them as a panel."""
    client = get_client_or_404(request, pk)
    told = {name: request.GET.get(name, "")[:200] for name in ("muscle", "exercise", "weeks", "until")}
    page = trends_page(client, today=today_for(client, timezone.now()), asked=Asked(**told))
    charts = [] if wants_partial(request) else charts_of(page)
    context = {"client": client, "page": page, "charts": charts}
    return render_page(request, "logs/client_trends.html", context, partial="client-trends")


@require_GET
@csp_update(CHART_CSP)  # type: ignore[arg-type]
def client_blocks(request: HttpRequest, pk: int) -> HttpResponse:
    """Two blocks beside each other: the last two that have begun, or those asked for."""
    client = get_client_or_404(request, pk)
    told = {name: request.GET.get(name, "")[:40] for name in ("one", "other")}
    page = blocks_page(client, today=today_for(client, timezone.now()), **told)
    charts = block_charts(page.sides) if page.sides else []
    return render(request, "logs/client_blocks.html", {"client": client, "page": page, "charts": charts})
