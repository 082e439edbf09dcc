"""The file of a run: set anew from its issued sheets whenever it is asked for."""

from coachdesk.practice.models import Membership
from programs.models import SheetRun
from programs.paper.pages import page_of
from programs.paper.pdf import sheets_pdf, together_pdf
from programs.paper.together import together_pages
from programs.selectors.sheet_runs import run_sheets


def run_pdf(run: SheetRun, desk: Membership, phone_base: str) -> bytes | None:
    """The PDF; None for a run that is not done, or of which no sheet is left.

    Side by side there are no codes for phones: a camera would see eight at once.
    """
    sheets = run_sheets(run, desk) if run.state == SheetRun.State.DONE else []
    if not sheets:
        return None
    if run.layout == SheetRun.Layout.TOGETHER:
        pages = together_pages(sheets, run.title, run.practice.name)
        return together_pdf(pages, title=f"{run.title}, side by side", paper=run.paper)
    pages = [page_of(one, run.practice.name, run.paper, phone_base) for one in sheets]
    return sheets_pdf(pages, title=run.title, paper=run.paper)
