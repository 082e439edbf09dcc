"""The door to rollouts: one's own, and all of the practice for its owner."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.models import Rollout
from programs.selectors.rollouts import visible_rollouts


def get_rollout_or_404(request: HttpRequest, pk: int) -> Rollout:
    """A rollout this person began, or any of the practice for the owner."""
    return get_or_404(visible_rollouts(desk_of(request)), request, pk)
