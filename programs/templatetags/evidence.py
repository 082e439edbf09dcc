"""The evidence behind a scheme, flag or rule, for any page: asked once a page, however many codes it shows."""

from typing import Any

from django import template

from programs.evidence.selectors import cards_by_code, cards_for, visible_cards
from programs.models import EvidenceCard

register = template.Library()
KEPT = "_evidence_by_code"


@register.simple_tag(takes_context=True)
def evidence_cards(context: dict[str, Any], code: str) -> list[EvidenceCard]:
    """The cards behind a code that this member may see; nothing where there is no request or no desk."""
    request = context.get("request")
    desk = getattr(request, "desk", None)
    if request is None or desk is None:
        return []
    if not hasattr(request, KEPT):
        setattr(request, KEPT, cards_by_code(visible_cards(desk)))
    return cards_for(getattr(request, KEPT), code)
