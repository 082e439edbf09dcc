"""The door to somebody who works in the practice: for its owner, or 404."""

from django.http import HttpRequest

from coachdesk.practice.doors import get_or_404, owner_of
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import staff


def get_staff_or_404(request: HttpRequest, pk: int) -> Membership:
    """Somebody of the owner's own practice, those who left too; 403 to anybody but an owner."""
    return get_or_404(staff(owner_of(request)), request, pk)
