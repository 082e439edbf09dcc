"""Reading evidence cards: who may see which, the list with its filters, and the cards behind a code."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet

from coachdesk.practice.models import Membership
from programs.evidence.codes import ALIASES, code_words
from programs.models import EvidenceCard

OLDER_FROM = 60
POPULATIONS = {
    "untrained": "untrained people", "trained": "trained people", "older": "older people", "women": "women",
    "men": "men",
}  # fmt: skip


def visible_cards(desk: Membership) -> QuerySet[EvidenceCard]:
    """Shipped cards that this practice has no copy of, and the practice's own, by title."""
    own = EvidenceCard.objects.filter(practice_id=desk.practice_id)
    shipped = EvidenceCard.objects.filter(practice=None).exclude(code__in=own.values("code"))
    return (shipped | own).order_by("title", "id")


@dataclass(frozen=True)
class Wanted:
    """The filters of the list; '' for any."""

    scheme: str = ""
    rule: str = ""
    population: str = ""


def card_rows(desk: Membership, wanted: Wanted) -> list[EvidenceCard]:
    """Cards that fit every filter."""
    codes = [ALIASES.get(code, code) for code in (wanted.scheme, wanted.rule) if code]
    cards = [card for card in visible_cards(desk) if all(code in card.about for code in codes)]
    return [card for card in cards if not wanted.population or _studied(card, wanted.population)]


def card_groups(cards: Iterable[EvidenceCard]) -> list[tuple[str, list[EvidenceCard]]]:
    """Cards under what was measured, headings without cards left out."""
    found: dict[str, list[EvidenceCard]] = {}
    for card in cards:
        found.setdefault(card.measured, []).append(card)
    headings = [*EvidenceCard.Measured.choices, ("", "other")]
    return [(words, found[key]) for key, words in headings if key in found]


def _studied(card: EvidenceCard, population: str) -> bool:
    if population == "older":
        return card.age_high is None and card.age_low is not None and card.age_low >= OLDER_FROM
    if population in ("men", "women"):
        return card.sex in (population, "both")
    return card.training in (population, "mixed")


def about_words(card: EvidenceCard) -> list[tuple[str, str]]:
    """(code, words) of what the card is about."""
    return [(code, code_words(code)) for code in card.about]


def cards_by_code(cards: Iterable[EvidenceCard]) -> dict[str, list[EvidenceCard]]:
    """The cards that name a code, by code."""
    found: dict[str, list[EvidenceCard]] = {}
    for card in cards:
        for code in card.about:
            found.setdefault(code, []).append(card)
    return found


def cards_for(by_code: dict[str, list[EvidenceCard]], code: str) -> list[EvidenceCard]:
    """The cards behind a scheme kind, a flag or a rule, the best seen first."""
    found = by_code.get(code) or by_code.get(ALIASES.get(code, code), [])
    order = [value for value, _ in EvidenceCard.Basis.choices]
    return sorted(found, key=lambda card: (order.index(card.basis), card.title, card.pk))
