"""What to change next week: the proposals, the preview of one, applying it, setting one aside, and the undo."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.doors import get_client_or_404
from clients.selectors import today_for
from coachdesk.practice.doors import writer_of
from coachdesk.practice.tape import UndoConflict, undo
from programs.forms import WhyForm
from programs.logs.review.forms import ProposalForm
from programs.logs.review.page import next_week_page
from programs.services import apply_remedy, dismiss_flag

GONE = "This proposal is gone: the plan or the log has changed since the page was drawn. Nothing was changed."


@require_GET
def client_next_week(request: HttpRequest, pk: int) -> HttpResponse:
    """Proposals with their reasons; with `flag` and `remedy` what that way out would write and do."""
    client = get_client_or_404(request, pk)
    asked = ProposalForm(request.GET).asked
    page = next_week_page(client, today=today_for(client, timezone.now()), flag=asked.flag, remedy=asked.remedy)
    return render(request, "logs/client_next_week.html", {"client": client, "page": page})


@require_POST
def next_week_apply(request: HttpRequest, pk: int) -> HttpResponse:
    """Apply what was previewed, in one act; refused when something else would be written now."""
    client = get_client_or_404(request, pk)
    desk, asked = writer_of(request), ProposalForm(request.POST).asked
    page = next_week_page(client, today=today_for(client, timezone.now()), flag=asked.flag, remedy=asked.remedy)
    try:
        if page.program is None or page.preview is None or page.preview.digest != asked.digest:
            raise ValidationError(GONE)
        label = apply_remedy(by=desk, program=page.program, flag=page.preview.flag, index=page.preview.index)
        messages.success(request, f"Applied: {label}. Undo takes it back.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return redirect("logs:client_next_week", pk=client.pk)


@require_POST
def next_week_dismiss(request: HttpRequest, pk: int) -> HttpResponse:
    """Set a proposal aside with a reason; it returns when its numbers change."""
    client = get_client_or_404(request, pk)
    desk, asked, form = writer_of(request), ProposalForm(request.POST).asked, WhyForm(request.POST)
    page = next_week_page(client, today=today_for(client, timezone.now()))
    flag = next((one.flag for one in page.flags if one.flag.id == asked.flag), None)
    try:
        if page.program is None or flag is None:
            raise ValidationError(GONE)
        if not form.is_valid():
            raise ValidationError([words for errors in form.errors.values() for words in errors])
        dismiss_flag(by=desk, program=page.program, flag=flag, why=form.cleaned_data["why"], now=timezone.now())
        messages.success(request, "Set aside, with your reason.")
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
    return redirect("logs:client_next_week", pk=client.pk)


@require_POST
def next_week_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the latest act on the running programme."""
    client = get_client_or_404(request, pk)
    desk = writer_of(request)
    page = next_week_page(client, today=today_for(client, timezone.now()))
    try:
        if page.undo is None:
            raise UndoConflict("There is nothing to undo.")
        messages.success(request, f"{undo(page.undo, by=desk).label}.")
    except UndoConflict as conflict:
        messages.error(request, str(conflict))
    return redirect("logs:client_next_week", pk=client.pk)
