"""The report of a block for the client: to read, to print, and what the coach writes into it."""

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from clients.forms.fields import put_errors
from clients.selectors import today_for
from clients.services.stale import StaleForm
from clients.views.stale import Clash, taken
from coachdesk.htmx import render_page
from coachdesk.practice.doors import desk_of, writer_of
from programs.doors import get_program_or_404
from programs.logs import selectors, services
from programs.logs.doors import get_report_block_or_404
from programs.logs.forms import NoteForm, WeeksForm
from programs.logs.report_pdf import report_pdf
from programs.models import Block
from programs.paper.answers import pdf_answer
from programs.paper.forms import paper_of


def report_of(block: Block, span: tuple[int, int]) -> selectors.Report:
    """The report of these weeks as of the client's today."""
    return selectors.block_report(block, span, today=today_for(block.program.client, timezone.now()))  # type: ignore[arg-type]


def report_page(
    request: HttpRequest, report: selectors.Report, weeks: WeeksForm, form: NoteForm | None = None, status: int = 200,
    **more: Any,
) -> HttpResponse:  # fmt: skip
    """The whole page."""
    form = form or NoteForm(kept=report.note, proposals=report.proposals)
    context = {"report": report, "client": report.client, "weeks_form": weeks, "form": form} | more
    return render_page(request, "logs/block_report.html", context, status=status)


@require_GET
def program_report(request: HttpRequest, pk: int) -> HttpResponse:
    """The report of the programme's block that ended or runs last; a template has none."""
    program = get_program_or_404(request, pk)
    if program.client is None:
        raise Http404
    block = selectors.latest_block(program, today_for(program.client, timezone.now()))
    if block is None:
        raise Http404
    return redirect("logs:block_report", pk=block.pk)


@require_GET
def block_report(request: HttpRequest, pk: int) -> HttpResponse:
    """Planned, done, what changed with its doubt, what next; of the whole block or of some of its weeks."""
    block = get_report_block_or_404(request, pk)
    weeks = WeeksForm(request.GET, block=block)
    return report_page(request, report_of(block, weeks.span), weeks, status=200 if weeks.is_valid() else 422)


@require_GET
def block_report_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The same report as a file; weeks that are none are told on the page."""
    block = get_report_block_or_404(request, pk)
    weeks = WeeksForm(request.GET, block=block)
    report = report_of(block, weeks.span)
    if not weeks.is_valid():
        return report_page(request, report, weeks, status=422)
    paper = paper_of(request.GET, desk_of(request).practice)
    return pdf_answer(report_pdf(report, paper=paper), f"report-{block.pk}.pdf")


@require_POST
def block_report_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep the coach's words, the steps that come next, and whether pain is printed."""
    block, by = get_report_block_or_404(request, pk), writer_of(request)
    weeks = WeeksForm(request.POST, block=block)
    report = report_of(block, weeks.span)
    form = NoteForm(request.POST, kept=report.note, proposals=report.proposals)
    if weeks.is_valid() and form.is_valid():
        try:
            services.write_note(
                by=by, block=block, span=weeks.span, version=form.cleaned_data["version"],
                values=taken(request.POST, form.values), now=timezone.now(),
            )  # fmt: skip
            messages.success(request, "The report is saved.")
            return redirect(f"{reverse('logs:block_report', args=[pk])}?first={weeks.span[0]}&last={weeks.span[1]}")
        except StaleForm as stale:
            again = NoteForm(_merged(request.POST, stale), kept=report.note, proposals=report.proposals)
            return report_page(request, report, weeks, again, 409, clashes=_clashes(form, stale))
        except ValidationError as refusal:
            put_errors(form, refusal)
    return report_page(request, report, weeks, form, 422)


def _merged(posted: QueryDict, stale: StaleForm) -> QueryDict:
    """What merges, with mine where we clash, against the version saved now."""
    data = posted.copy()
    for name, value in stale.merged.items():
        if name == "steps":
            data.setlist(name, [one["code"] for one in value])
        elif name == "with_pain":
            data.setlist(name, ["on"] if value else [])
        else:
            data[name] = value
    data["version"] = str(getattr(stale.row, "version", ""))
    return data


def _clashes(form: NoteForm, stale: StaleForm) -> list[Clash]:
    def words(value: Any) -> str:
        if isinstance(value, list):
            return " ".join(one["words"] for one in value) or "nothing"
        return {True: "yes", False: "no", "": "nothing"}.get(value, str(value)[:200])

    return [Clash(c.field, str(form.fields[c.field].label), words(c.mine), words(c.theirs)) for c in stale.conflicts]
