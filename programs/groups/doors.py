"""The door to a group."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.groups.selectors import visible_groups
from programs.models import TrainingGroup


def get_group_or_404(request: HttpRequest, pk: int) -> TrainingGroup:
    """A group this person may see."""
    return get_or_404(visible_groups(desk_of(request)), request, pk)
