"""Writing evidence cards: a coach's own, a shipped one as the practice's copy, and taking one away."""

from datetime import datetime
from typing import Any
from uuid import uuid4

from django.core.exceptions import ValidationError

from clients.services.stale import take_over
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.models import EvidenceCard

EDITABLE = (
    "title", "about", "who", "training", "age_low", "age_high", "sex", "n", "measured", "exercises", "patterns",
    "protocol", "outcome", "limits", "citation", "doi", "basis",
)  # fmt: skip
SUBJECT = "evidence"


def add_card(*, by: Membership, values: dict[str, Any], now: datetime) -> EvidenceCard:
    """A card of the practice's own. `values`: any of EDITABLE."""
    with write(f"Add evidence: {values.get('title', '')}", by=by, subject=SUBJECT, at=now) as tape:
        return tape.create(EvidenceCard(practice=by.practice, code=f"own-{uuid4().hex}", **values))


def edit_card(
    *, by: Membership, card: EvidenceCard, version: int, values: dict[str, Any], now: datetime
) -> EvidenceCard:
    """Change a card; a shipped one becomes the practice's copy. Raises StaleForm when the same fields changed since."""
    with write(f"Change evidence: {card.title}", by=by, subject=SUBJECT, at=now) as tape:
        # The practice's row is the lock: two members copying one shipped card at once must not make two.
        tape.lock(by.practice)
        own = EvidenceCard.objects.filter(practice=by.practice, code=card.code).first()
        if own is None:
            return tape.create(EvidenceCard(practice=by.practice, code=card.code, origin=card, **values))
        row = tape.lock(own)
        if card.is_shipped:
            # The page showed the shipped card; somebody copied and changed it meanwhile.
            version = 0
        elif not 1 <= version <= row.version:
            raise ValidationError(f"Version {version} of this card does not exist; open it again and try again.")
        return tape.save(take_over(row, version=version, fields=values))


def remove_card(*, by: Membership, card: EvidenceCard, now: datetime) -> None:
    """Take a card of the practice away; where it stood in for a shipped one, that shows again."""
    if card.is_shipped:
        raise ValidationError("A shipped card cannot be taken away; change it, and your copy stands in for it.")
    with write(f"Remove evidence: {card.title}", by=by, subject=SUBJECT, at=now) as tape:
        tape.delete(tape.lock(card))
