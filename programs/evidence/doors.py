"""The door to an evidence card: found, or 404 to a stranger."""

from django.http import HttpRequest

from coachdesk.practice.doors import desk_of, get_or_404
from programs.evidence.selectors import visible_cards
from programs.models import EvidenceCard


def get_card_or_404(request: HttpRequest, pk: int) -> EvidenceCard:
    """A shipped card, or one of this member's practice."""
    return get_or_404(visible_cards(desk_of(request)), request, pk)
