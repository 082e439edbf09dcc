"""What may stand in for an exercise of a sheet on the day itself, best first."""

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from programs.arrange.swap import StandIn, stand_ins_at
from programs.logs.phone.visit import place_of
from programs.models import Exercise, IssuedSheet

OFFERED = 3


@dataclass(frozen=True)
class Offer:
    """One exercise that may stand in, why it does, and what it lacks, in words."""

    pk: int
    name: str
    why: str
    lacks: str


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
    return Offer(one.exercise.pk, one.exercise.name, one.why, one.lacks)
