"""The door to imports of sets: one's own, and all of the practice for its owner."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.logs.intake.selectors import visible_imports
from programs.logs.models import LogImport


def get_log_import_or_404(request: HttpRequest, pk: int) -> LogImport:
    """An import this person made, or any of the practice for the owner."""
    return get_or_404(visible_imports(desk_of(request)), request, pk)
