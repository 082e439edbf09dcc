"""From rows to the engine's values: who the client is to the engine, and which loads a place can make."""

from collections.abc import Iterable, Sequence
from dataclasses import fields
from datetime import date
from functools import lru_cache
from typing import Any

from django.db.models import Q, QuerySet

from clients.models import Client, Equipment, HouseRule, Place, Precaution, Screening
from coachdesk.engine import DEFAULT, ClientTraits, EngineError, Rules, equipment_from_json
from coachdesk.engine.frozen import same
from coachdesk.practice.models import Practice

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
    made = ClientTraits(
        level=client.level,
        age=age if age is not None and YOUNGEST <= age <= OLDEST else None,
        goal=client.goal,
        cautious=bool(precautions_on(client, on)),
        screening=screening_state(client, on),
        marks=tuple(sorted((mark.muscle, mark.aim) for mark in client.marked_muscles.all())),
        weeks_trained=_weeks_trained(client, on),
        body_kg=client.body_kg,
    )
    return same(made)


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


RULE_NAMES = frozenset(field.name for field in fields(Rules))
Override = tuple[str, Any]
# Where a client's rules are kept on the object: one look a request, however often the engine is asked.
KEPT = "_house_rules"


def with_rules(clients: Sequence[Client]) -> None:
    """Fetch the house rules of these clients, once, in one query whatever their number."""
    missing = [client for client in clients if KEPT not in client.__dict__]
    if missing:
        keep_rules(missing, rules_of(missing).order_by("id"))


def rules_of(clients: Sequence[Client]) -> QuerySet[HouseRule]:
    """What was set for everyone in the practices of these clients, and for each of them."""
    practices, ids = {client.practice_id for client in clients}, [client.pk for client in clients]
    return HouseRule.objects.filter(Q(client=None, practice__in=practices) | Q(client__in=ids))


def keep_rules(clients: Sequence[Client], rows: Iterable[HouseRule]) -> None:
    """Keep on each client what was set for everyone and for them; `rows` in order of id."""
    shared: dict[int, list[HouseRule]] = {}
    own: dict[int, list[HouseRule]] = {}
    for row in rows:
        if row.client_id is None:
            shared.setdefault(row.practice_id, []).append(row)
        else:
            own.setdefault(row.client_id, []).append(row)
    for client in clients:
        client.__dict__[KEPT] = shared.get(client.practice_id, []) + own.get(client.pk, [])


def frozen(value: Any) -> Any:
    """A rule's JSON value as the engine holds it: lists become tuples (objects too, which the engine refuses)."""
    if isinstance(value, dict):
        value = list(map(list, value.items()))
    return tuple(frozen(one) for one in value) if isinstance(value, list) else value


def rule_rows(of: Client | Practice) -> list[HouseRule]:
    """What was set for everyone, then what was set for this client; kept on the client once fetched."""
    if isinstance(of, Client):
        with_rules([of])
        return list(of.__dict__[KEPT])
    return list(of.house_rules.filter(client=None).order_by("id"))


def forget_rules(client: Client) -> None:
    """Let the next look at this client's rules ask the database again."""
    client.__dict__.pop(KEPT, None)


def house_rules(of: Client | Practice) -> Rules:
    """The desk's defaults, what the practice set instead, then what was set for this client.

    One query unless `with_rules` fetched them before. A stored value the engine no longer takes (it was checked
    when it was written) is left out, as the rules' page says.
    """
    return rules_with((row.name, row.value) for row in rule_rows(of))


def rules_with(overrides: Iterable[tuple[str, Any]]) -> Rules:
    """The defaults with these values in place, later ones winning; unknown names and refused values are left out."""
    wanted = {name: frozen(value) for name, value in overrides if name in RULE_NAMES}
    return _rules(tuple(sorted(wanted.items())))


def checked_rule(name: str, value: Any) -> None:
    """Raises EngineError unless the engine takes this value for this rule."""
    if name not in RULE_NAMES:
        raise EngineError("name of a rule", name, "one of the rules listed on this page")
    Rules(**{name: frozen(value)})


@lru_cache(maxsize=512)
def _rules(overrides: tuple[Override, ...]) -> Rules:
    if not overrides:
        return DEFAULT
    good: dict[str, Any] = {}
    for name, value in overrides:
        try:
            checked_rule(name, value)
        except EngineError:
            continue
        good[name] = value
    return Rules(**good)
