"""What may stand in for an exercise of a sheet on the day itself, best first, and how the page would show it then."""

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from programs.arrange.swap import StandIn, stand_ins_at
from programs.logs.models import Departure
from programs.logs.phone.selectors.rows import Lift
from programs.logs.phone.selectors.session import lifts_instead
from programs.logs.phone.visit import place_of
from programs.models import Exercise, IssuedSheet

OFFERED = 3


@dataclass(frozen=True)
class Offer:
    """One exercise that may stand in, why it does, and what it lacks, in words."""

    exercise: Exercise
    why: str
    lacks: str

    @property
    def pk(self) -> int:
        return self.exercise.pk

    @property
    def name(self) -> str:
        return self.exercise.name


@dataclass(frozen=True)
class SwapPage:
    """An exercise as it was planned, and what may stand in for it, each with how the page would show it then.

    `is_swapped`: another stands in already.
    """

    planned: Lift
    offers: tuple[tuple[Offer, Lift], ...]
    is_swapped: bool


def swap_page(sheet: IssuedSheet, position: int) -> SwapPage:
    """What may stand in at this position, the best few. Raises Http404 for no such exercise."""
    offers = stand_ins_of(sheet, position)[:OFFERED]
    planned, *others = lifts_instead(sheet, position, [None, *(one.exercise for one in offers)])
    there = Departure.objects.filter(session_log__sheet=sheet, place=str(position)).exclude(instead=None)
    return SwapPage(planned, tuple(zip(offers, others, strict=True)), there.exists())


def stand_ins_of(sheet: IssuedSheet, position: int) -> list[Offer]:
    """All that the place and the client allow for the exercise at this position; none for no such exercise."""
    wanted = next((one["exercise"] for one in sheet.body["exercises"] if one["position"] == position), None)
    if wanted is None:
        return []
    others = list(_library(sheet).prefetch_related("muscles", "substitutes__substitute"))
    was = next((row for row in others if row.pk == wanted), None)
    if was is None:
        return []
    place = place_of(sheet, sheet.phone_entries.filter(kind="place").order_by("id"))
    found = stand_ins_at(was, others, place=place, client=sheet.client, on=sheet.for_on)
    return [_offer(one) for one in found if one.usable]


def _library(sheet: IssuedSheet) -> QuerySet[Exercise]:
    return Exercise.objects.filter(Q(practice=None) | Q(practice_id=sheet.client.practice_id)).order_by("id")


def _offer(one: StandIn) -> Offer:
    return Offer(one.exercise, one.why, one.lacks)
