"""What may stand in for the exercises of a sheet, offered where a log says that another one was done."""

from django.db.models import prefetch_related_objects

from coachdesk.practice.models import Membership
from programs.arrange.swap import stand_ins_at
from programs.models import IssuedSheet
from programs.selectors import visible_exercises

OFFERED = 6


def stand_in_names(desk: Membership, sheet: IssuedSheet) -> list[tuple[int, list[str]]]:
    """(position, names) for each exercise of the sheet, best first; only what the place and the client allow."""
    body = sheet.body["exercises"]
    others = list(visible_exercises(desk).prefetch_related("muscles", "substitutes__substitute"))
    rows = {row.pk: row for row in others}
    session, client = sheet.planned_session, sheet.client
    place = (session.place if session else None) or client.place
    # Asked once, not once an exercise.
    prefetch_related_objects([client], "precautions", "strength_estimates")
    prefetch_related_objects([place] if place else [], "equipment")
    return [
        (one["position"], [stand.exercise.name for stand in stands if stand.usable][:OFFERED])
        for one in body
        if (row := rows.get(one["exercise"])) is not None
        for stands in [stand_ins_at(row, others, place=place, client=client, on=sheet.for_on)]
    ]
