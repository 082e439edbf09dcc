"""From rows to the engine's values: who the client is to the engine, and which loads a place can make."""

from datetime import date
from typing import Any

from clients.models import Client, Equipment, Place, Precaution, Screening
from coachdesk.engine import ClientTraits, equipment_from_json

# What the engine takes; anything outside is as good as unknown to it.
YOUNGEST, OLDEST = 5, 120
MOST_WEEKS_TRAINED = 5000


def latest_screening(client: Client, on: date) -> Screening | None:
    """The last screening asked on or before that day; uses prefetched rows where there are some."""
    asked = [row for row in client.screenings.all() if row.asked_on <= on]
    return max(asked, key=lambda row: (row.asked_on, row.pk), default=None)


def screening_state(client: Client, on: date) -> str:
    """'ok', 'missing' or 'expired' on that day. An unanswered 'see a clinician first' counts as missing."""
    latest = latest_screening(client, on)
    if latest is None or latest.outcome == Screening.Outcome.REFER:
        return "missing"
    return "expired" if on > latest.expires_on else "ok"


def precautions_on(client: Client, on: date) -> list[Precaution]:
    """Precautions in force on that day, oldest first; the day one ends it is no longer in force."""
    rows = [row for row in client.precautions.all() if (row.since_on is None or row.since_on <= on)]
    return sorted((row for row in rows if row.until_on is None or row.until_on > on), key=lambda row: row.pk)


def age_on(client: Client, on: date) -> int | None:
    """Whole years on that day; None when the birth date is unknown or later."""
    born = client.born_on
    if born is None or born > on:
        return None
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def _weeks_trained(client: Client, on: date) -> int | None:
    since = client.training_since_on
    return None if since is None or since > on else min((on - since).days // 7, MOST_WEEKS_TRAINED)


def client_traits(client: Client, on: date) -> ClientTraits:
    """What the engine needs to know of a client on that day.

    Uses prefetched `screenings`, `precautions` and `marked_muscles` where they are; else three queries.
    Any precaution in force makes the engine cautious: it rounds down and works from the lower quarter.
    """
    age = age_on(client, on)
    return ClientTraits(
        level=client.level,
        age=age if age is not None and YOUNGEST <= age <= OLDEST else None,
        goal=client.goal,
        cautious=bool(precautions_on(client, on)),
        screening=screening_state(client, on),
        marks=tuple(sorted((mark.muscle, mark.aim) for mark in client.marked_muscles.all())),
        weeks_trained=_weeks_trained(client, on),
    )


def equipment_value(row: Equipment) -> Any:
    """The row as the engine's equipment, named as the row is. EngineError when its `spec` is not one."""
    return equipment_from_json({**row.spec, "name": row.name})


def place_equipment(place: Place | None) -> dict[str, tuple[Any, ...]]:
    """The engine's equipment of a place by kind, in the order it was added; empty without a place."""
    made: dict[str, tuple[Any, ...]] = {}
    if place is None:
        return made
    for row in sorted(place.equipment.all(), key=lambda row: row.pk):
        made[row.kind] = (*made.get(row.kind, ()), equipment_value(row))
    return made
