"""The door to runs of sheets: one's own, and all of the practice for its owner."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.models import SheetRun
from programs.selectors.sheet_runs import visible_sheet_runs


def get_sheet_run_or_404(request: HttpRequest, pk: int) -> SheetRun:
    """A run this person began, or any of the practice for the owner."""
    return get_or_404(visible_sheet_runs(desk_of(request)), request, pk)
