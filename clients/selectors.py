"""Reading clients and places: who may be seen, the list, and what holds on a day."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet

from clients.equipment_words import MadeLoads, equipment_words, made_loads
from clients.mapping import (
    KEPT,
    age_on,
    equipment_value,
    keep_rules,
    latest_screening,
    precautions_on,
    rule_rows,
    rules_of,
    rules_with,
    screening_state,
)
from clients.models import Client, Equipment, HealthConsent, MarkedMuscle, Place, Precaution, Screening
from clients.rule_texts import RuleSpec, rule_spec, rule_text
from coachdesk.engine import MUSCLES, EngineError, Muscle
from coachdesk.engine.number_words import rule_names
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.one_trip import keep, one_trip
from coachdesk.practice.selectors import visible_coaches
from coachdesk.practice.text import fold

__all__ = [
    "ClientPage", "EquipmentRow", "RuleLine", "age_on", "client_page", "client_rows", "equipment_rows",
    "give_traits", "health_consent", "latest_screening", "marks_of", "past_precautions", "place_rows",
    "precautions_on", "rule_lines", "screening_state", "today_for", "trait_rows", "visible_clients",
    "visible_equipment", "visible_places", "visible_precautions", "with_traits", "zone_of",
]  # fmt: skip

PAGE = 100


def visible_clients(desk: Membership) -> QuerySet[Client]:
    """Clients this member may see, archived ones too, with coach, coach's user and place."""
    rows = Client.objects.filter(visible_coaches(desk))
    return rows.select_related("coach__user", "place", "practice").order_by("folded", "id").distinct()


def visible_precautions(desk: Membership) -> QuerySet[Precaution]:
    """Precautions of the clients this member may see."""
    clients = visible_clients(desk).order_by().values("pk")
    return Precaution.objects.filter(client__in=clients).select_related("client").order_by("id")


def visible_places(desk: Membership) -> QuerySet[Place]:
    """Every place of the practice, by name."""
    return Place.objects.filter(practice_id=desk.practice_id).order_by("name", "id")


def visible_equipment(desk: Membership) -> QuerySet[Equipment]:
    """Every piece of equipment of the practice."""
    rows = Equipment.objects.filter(place__practice_id=desk.practice_id)
    return rows.select_related("place").order_by("place_id", "id")


def client_rows(desk: Membership, query: str = "", archived: bool = False) -> QuerySet[Client]:
    """The client list: by name, found by any part of it whatever the case and accents."""
    rows = visible_clients(desk).filter(archived_on__isnull=not archived)
    for word in fold(query).split():
        rows = rows.filter(folded__contains=word)
    return rows.prefetch_related("screenings")


@dataclass(frozen=True)
class RuleLine:
    """One house rule as it stands: `own` is what is set here ('' for nothing), `inherited` what holds without it.

    `set_for` says who set what holds now; `broken` is a stored value that the engine no longer takes.
    """

    spec: RuleSpec
    own: str
    inherited: str
    set_for: str
    broken: str = ""

    @property
    def present(self) -> str:
        return self.inherited if self.broken or not self.own else self.own


def rule_lines(of: Client | Practice) -> list[RuleLine]:
    """Every house rule of a practice, or of a client on top of the practice's, in the order of the headings."""
    rows = rule_rows(of)
    shared = {row.name: row.value for row in rows if row.client_id is None}
    own = {row.name: row.value for row in rows if row.client_id is not None} if isinstance(of, Client) else shared
    return [_rule_line(name, of, shared, own) for name in rule_names()]


def _rule_line(name: str, of: Client | Practice, shared: dict[str, Any], own: dict[str, Any]) -> RuleLine:
    spec, for_client = rule_spec(name), isinstance(of, Client)
    base = rules_with([(name, shared[name])] if for_client and name in shared else [])
    held = rules_with([(name, own[name])] if name in own else [])
    inherited, mine = rule_text(name, getattr(base, name)), rule_text(name, own[name]) if name in own else ""
    broken = mine if mine and rule_text(name, getattr(held, name)) != mine else ""
    set_for = "this client" if for_client else "everyone"
    if not mine:
        set_for = "everyone" if for_client and name in shared else ""
    return RuleLine(spec, mine, inherited, set_for, broken)


@dataclass(frozen=True)
class ClientPage:
    """One page of the list, and whether there are more after it."""

    clients: Sequence[Client]
    next_after: int | None


def client_page(rows: QuerySet[Client], *, after: int | None = None, limit: int = PAGE) -> ClientPage:
    """Up to `limit` clients behind the one with id `after`; an id not in the list begins at its start."""
    last = rows.filter(pk=after).first() if after else None
    if last is not None:
        rows = rows.filter(Q(folded__gt=last.folded) | Q(folded=last.folded, pk__gt=last.pk))
    found = list(rows[: limit + 1])
    more = len(found) > limit
    return ClientPage(found[:limit], found[limit - 1].pk if more else None)


def today_for(client: Client | Practice, now: datetime) -> date:
    """The civil date where the client (or practice) is."""
    return now.astimezone(zone_of(client)).date()


def days_during(client: Client, today: date) -> tuple[date, date]:
    """The client's first and last civil day while it is `today` at their practice (selected): often the same day."""
    there, here = zone_of(client), zone_of(client.practice)
    if there.key == here.key:
        return today, today
    begins, ends = (datetime.combine(today, at, here) for at in (time.min, time.max))
    return begins.astimezone(there).date(), ends.astimezone(there).date()


def zone_of(client: Client | Practice) -> ZoneInfo:
    """The time zone; UTC when this machine does not know its name."""
    try:
        return ZoneInfo(client.time_zone)
    except (KeyError, ValueError, OSError):
        return ZoneInfo("UTC")


def with_traits(clients: Iterable[Client]) -> list[Client]:
    """The same clients with everything that `client_traits` and `house_rules` read, in one query or none."""
    found = list(clients)
    missing = [client for client in found if KEPT not in client.__dict__ or not _has_traits(client)]
    if missing:
        give_traits(missing, one_trip(*trait_rows(missing)))
    return found


def _has_traits(client: Client) -> bool:
    return {"screenings", "precautions", "marked_muscles"} <= set(getattr(client, "_prefetched_objects_cache", ()))


def trait_rows(clients: Sequence[Client]) -> tuple[QuerySet[Any], ...]:
    """What `give_traits` needs, for a page that has more to fetch on the same trip."""
    of = {"client__in": [client.pk for client in clients]}
    kinds = (Screening.objects, Precaution.objects, MarkedMuscle.objects)
    return (*(rows.filter(**of) for rows in kinds), rules_of(clients))


def give_traits(clients: Sequence[Client], rows: Sequence[list[Any]]) -> None:
    """Keep the rows of `trait_rows` on the clients."""
    screenings, precautions, marks, rules = rows
    keep(clients, "screenings", screenings)
    keep(clients, "precautions", precautions)
    keep(clients, "marked_muscles", marks)
    keep_rules(clients, rules)


def health_consent(client: Client) -> HealthConsent | None:
    """The client's latest answer about health notes, or None when nobody asked."""
    return client.health_consents.select_related("asked_by__user").order_by("-asked_on", "-id").first()


def past_precautions(client: Client, on: date) -> list[Precaution]:
    """Precautions no longer, or not yet, in force on that day, latest first."""
    current = {row.pk for row in precautions_on(client, on)}
    return sorted((row for row in client.precautions.all() if row.pk not in current), key=lambda row: -row.pk)


def marks_of(client: Client) -> list[tuple[Muscle, str]]:
    """Every muscle with its aim, '' where none is set, in the engine's order."""
    aims = {mark.muscle: mark.aim for mark in client.marked_muscles.all()}
    return [(muscle, aims.get(muscle.code, "")) for muscle in MUSCLES]


def place_rows(desk: Membership) -> QuerySet[Place]:
    """The practice's places with their equipment."""
    return visible_places(desk).prefetch_related("equipment")


@dataclass(frozen=True)
class EquipmentRow:
    """One line of a place's page. `made` is None for bands; `problem` says why a broken row makes nothing."""

    equipment: Equipment
    words: str
    made: MadeLoads | None
    problem: str = ""


def equipment_rows(place: Place) -> list[EquipmentRow]:
    """A place's equipment in words, with the loads that can be made."""
    return [_equipment_row(row) for row in place.equipment.order_by("kind", "name", "id")]


def _equipment_row(row: Equipment) -> EquipmentRow:
    try:
        value = equipment_value(row)
        return EquipmentRow(row, equipment_words(value), made_loads(value))
    except EngineError as problem:
        return EquipmentRow(row, "", None, str(problem))
