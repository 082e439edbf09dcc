"""Handing out session sheets."""

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.forms.fields import put_errors
from clients.links.doors import phone_base
from coachdesk.htmx import render_page
from coachdesk.practice.doors import logging_view, writer_of
from coachdesk.qr_code import qr_svg
from programs import selectors, services
from programs.doors import get_session_or_404, get_sheet_or_404
from programs.forms import WhyForm
from programs.sheet_words import CODE_LABEL, PHONE_WORDS, phone_address


@logging_view
@require_POST
def sheet_issue(request: HttpRequest, pk: int) -> HttpResponse:
    """Issue the sheet of a planned session; a stop asks for a written reason first."""
    session = get_session_or_404(request, pk)
    form = WhyForm(request.POST)
    context = {"form": form, "session": session, "program": session.block.program}
    if form.is_valid():
        try:
            sheet = services.issue_sheet(
                by=writer_of(request), session=session, now=timezone.now(), why=form.cleaned_data["why"]
            )
            return redirect("programs:sheet_detail", pk=sheet.pk)
        except services.HandoverStopped as stopped:
            context["stops"] = stopped.flags
            if "why" in request.POST:
                form.add_error("why", "Write the reason for handing over in spite of this; it is kept with your name.")
        except ValidationError as wrong:
            put_errors(form, wrong)
    return render_page(request, "programs/sheet_issue.html", context, status=422)


@require_GET
def sheet_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """The issued sheet, as the client reads and fills it."""
    sheet = get_sheet_or_404(request, pk)
    address = phone_address(sheet, phone_base(request))
    context = {
        "sheet": sheet, "body": sheet.body, "profiles": selectors.sheet_profiles(sheet.body),
        "code": qr_svg(address, label=CODE_LABEL) if address else "", "phone_words": PHONE_WORDS,
    }  # fmt: skip
    return render_page(request, "programs/sheet_detail.html", context)
