"""Saying that a change of plan under a logged session was seen."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from coachdesk.practice.doors import writer_of
from programs.logs import services
from programs.logs.doors import get_plan_gap_or_404
from programs.logs.forms import SeenForm


@require_POST
def plan_gap_seen(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep who saw it and when; the log and the plan stay as they are."""
    gap, form = get_plan_gap_or_404(request, pk), SeenForm(request.POST)
    if not form.is_valid():
        messages.error(request, form.words)
    else:
        try:
            services.see_plan_gap(by=writer_of(request), gap=gap, now=timezone.now(), **form.cleaned_data)
            messages.success(request, "Noted as seen; the roster does not ask again.")
        except ValidationError as moved:
            messages.error(request, " ".join(moved.messages))
    return redirect("logs:session_log_detail", pk=gap.session_log_id)
