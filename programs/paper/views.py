"""Switchboards for sheets as PDF."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from coachdesk.practice.doors import desk_of
from programs.doors import get_sheet_or_404
from programs.paper.answers import pdf_answer
from programs.paper.forms import paper_of
from programs.paper.pages import page_of, title_of
from programs.paper.pdf import sheets_pdf


@require_GET
def sheet_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """One issued sheet on paper; `paper` is 'a4' or 'letter', the practice's own where nothing is said."""
    sheet = get_sheet_or_404(request, pk)
    practice = desk_of(request).practice
    paper = paper_of(request.GET, practice)
    made = sheets_pdf([page_of(sheet, practice.name, paper)], title=title_of(sheet), paper=paper)
    return pdf_answer(made, f"sheet-{sheet.pk}.pdf")
