"""Switchboards for sheets as PDF: one, or a run of several with progress and stopping."""

from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from clients.links.doors import phone_base
from clients.selectors import today_for
from coachdesk.htmx import render_page, wants_partial
from coachdesk.practice.doors import desk_of, logging_view, writer_of
from coachdesk.templatetags.desk import day
from programs.calendar.forms import day_of
from programs.doors import get_sheet_or_404
from programs.groups.doors import get_group_or_404
from programs.models import SheetRun
from programs.paper.answers import pdf_answer
from programs.paper.choosing import ChoosePage, choose_page, group_wanted
from programs.paper.doors import get_sheet_run_or_404
from programs.paper.files import run_pdf
from programs.paper.forms import paper_of
from programs.paper.pages import page_of, title_of
from programs.paper.pdf import sheets_pdf
from programs.selectors.sheet_runs import latest_runs, run_progress
from programs.services.sheet_runs import cancel_run, issue_some, start_run

# A page that asks by itself wants to see something move; one pressed by hand should not have to be pressed often.
ASKED_S, PRESSED_S = 1.0, 6.0


@require_GET
def sheet_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """One issued sheet on paper; `paper` is 'a4' or 'letter', the practice's own where nothing is said."""
    sheet = get_sheet_or_404(request, pk)
    practice = desk_of(request).practice
    paper = paper_of(request.GET, practice)
    page = page_of(sheet, practice.name, paper, phone_base(request))
    made = sheets_pdf([page], title=title_of(sheet), paper=paper)
    return pdf_answer(made, f"sheet-{sheet.pk}.pdf")


@logging_view
@require_http_methods(["GET", "POST"])
def sheet_run_new(request: HttpRequest) -> HttpResponse:
    """Choose clients, a week and the paper, and begin their sheets."""
    desk, now = writer_of(request), timezone.now()
    posted = request.method == "POST"
    page = choose_page(desk, today_for(desk.practice, now), request.POST if posted else request.GET, posted=posted)
    problem = ""
    if posted:
        try:
            run = start_run(
                by=desk, title=page.title, wanted=page.wanted, layout=SheetRun.Layout.EACH, paper=page.paper, now=now
            )
            return redirect("programs:sheet_run_detail", pk=run.pk)
        except ValidationError as wrong:
            problem = " ".join(wrong.messages)
    return _choose(request, page, problem)


def _choose(request: HttpRequest, page: ChoosePage, problem: str) -> HttpResponse:
    context = {"page": page, "problem": problem, "latest": latest_runs(desk_of(request))}
    status = 422 if problem else 200
    return render_page(request, "programs/sheet_run_new.html", context, partial="candidates", status=status)


@logging_view
@require_POST
def group_sheets(request: HttpRequest, pk: int) -> HttpResponse:
    """Begin one sheet for a group's day, its members side by side."""
    group = get_group_or_404(request, pk)
    desk, now = writer_of(request), timezone.now()
    on: date = day_of(request.POST.get("on", "")) or today_for(desk.practice, now)
    try:
        run = start_run(
            by=desk, title=f"{group.name}, {day(on)}", wanted=group_wanted(desk, group, on),
            layout=SheetRun.Layout.TOGETHER, paper=paper_of(request.POST, desk.practice), now=now,
        )  # fmt: skip
        return redirect("programs:sheet_run_detail", pk=run.pk)
    except ValidationError as wrong:
        messages.error(request, " ".join(wrong.messages))
        return redirect("programs:group_detail", pk=pk)


@require_GET
def sheet_run_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a run is, who is left out and why, and the file once it is done."""
    return _progress(request, get_sheet_run_or_404(request, pk))


def _progress(request: HttpRequest, run: SheetRun, status: int = 200) -> HttpResponse:
    context = {"run": run, "progress": run_progress(run, desk_of(request))}
    return render_page(request, "programs/sheet_run_detail.html", context, partial="progress", status=status)


@logging_view
@require_POST
def sheet_run_step(request: HttpRequest, pk: int) -> HttpResponse:
    """Issue some more of a run's sheets, for a second or a few."""
    run = get_sheet_run_or_404(request, pk)
    asked = wants_partial(request)
    done = issue_some(run=run, now=timezone.now(), seconds=ASKED_S if asked else PRESSED_S)
    return _progress(request, done) if asked else redirect("programs:sheet_run_detail", pk=pk)


@logging_view
@require_POST
def sheet_run_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop a run."""
    run = get_sheet_run_or_404(request, pk)
    run = cancel_run(by=writer_of(request), run=run, now=timezone.now())
    messages.info(request, "Stopped." if run.state == SheetRun.State.CANCELLED else "It was done already.")
    return redirect("programs:sheet_run_detail", pk=pk)


@require_GET
def sheet_run_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The file of a run that is done; 409 and its page while there is none."""
    run = get_sheet_run_or_404(request, pk)
    made = run_pdf(run, desk_of(request), phone_base(request))
    return _progress(request, run, status=409) if made is None else pdf_answer(made, f"sheets-{run.pk}.pdf")
