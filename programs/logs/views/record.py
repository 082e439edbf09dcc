"""Logging a whole session from its sheet, or skipping it."""

from uuid import uuid4

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, logging_view, writer_of
from programs.doors import get_sheet_or_404
from programs.logs import selectors, services
from programs.logs.forms import SessionLogForm, SkipForm
from programs.logs.mapping import sheet_key
from programs.models import IssuedSheet
from programs.selectors import exercises_by_name


@logging_view
@require_http_methods(["GET", "POST"])
def session_log(request: HttpRequest, pk: int) -> HttpResponse:
    """Type what was done beside what was planned; one POST keeps it all."""
    sheet = get_sheet_or_404(request, pk)
    if request.method == "GET":
        return _page(request, sheet, _fresh(request, sheet), 200)
    today, library = today_for(sheet.client, timezone.now()), exercises_by_name(desk_of(request))
    form = SessionLogForm(request.POST, sheet=sheet, today=today, library=library)
    if form.is_valid():
        try:
            made = services.record_session_log(
                by=writer_of(request), client=sheet.client, sheet=sheet, key=form.log_key, steps=form.steps,
                pains=form.pains, departures=form.departures, now=timezone.now(), **form.head,
            )  # fmt: skip
            messages.success(request, f"Saved: {len(form.steps)} sets.")
            return redirect("logs:session_log_detail", pk=made.pk)
        except services.KeyReused as reused:
            form.add_error(None, f"{reused} Nothing was changed; correct the saved session instead.")
        except ValidationError as refusal:
            put_errors(form, refusal)
    return _page(request, sheet, form, 422)


def _fresh(request: HttpRequest, sheet: IssuedSheet) -> SessionLogForm:
    # A sheet has one log; doing the same session a second time is asked for.
    key = uuid4() if "again" in request.GET else sheet_key(sheet.uid)
    today = today_for(sheet.client, timezone.now())
    return SessionLogForm(sheet=sheet, today=today, initial={"key": key, "done_on": min(sheet.for_on, today)})


def _page(
    request: HttpRequest, sheet: IssuedSheet, form: SessionLogForm, status: int, skip: SkipForm | None = None
) -> HttpResponse:
    today = today_for(sheet.client, timezone.now())
    context = {
        "sheet": sheet, "client": sheet.client, "body": sheet.body, "form": form, "table": form.table(),
        "stand_ins": selectors.stand_in_names(desk_of(request), sheet),
        "skip": skip or SkipForm(today=today, initial={"skipped_on": min(sheet.for_on, today)}),
        "logs": selectors.logs_of_sheet(sheet), "again": "again" in request.GET,
    }  # fmt: skip
    return render_page(request, "logs/session_log.html", context, status=status)


@logging_view
@require_POST
def session_skip(request: HttpRequest, pk: int) -> HttpResponse:
    """Say that the session was missed, and why."""
    sheet = get_sheet_or_404(request, pk)
    form = SkipForm(request.POST, today=today_for(sheet.client, timezone.now()))
    if form.is_valid():
        try:
            made = services.skip_session(
                by=writer_of(request), sheet=sheet, key=sheet_key(sheet.uid, skipped=True), now=timezone.now(),
                skipped_why=form.cleaned_data["skipped_why"], on=form.cleaned_data["skipped_on"],
            )  # fmt: skip
            return redirect("logs:session_log_detail", pk=made.pk)
        except services.KeyReused as reused:
            form.add_error(None, f"{reused} Nothing was changed; correct the saved session instead.")
        except ValidationError as refusal:
            put_errors(form, refusal)
    return _page(request, sheet, _fresh(request, sheet), 422, form)
