"""Who could get a template, and what would be flagged or unknown for each: by sets, in a constant number of queries."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import F, Max

from clients.mapping import house_rules, precautions_on, screening_state
from clients.models import Client, Equipment, Precaution
from clients.selectors import client_rows, with_traits
from coachdesk.practice.models import Membership
from programs.bodies import Body
from programs.models import Absence, Program, StrengthEstimate
from programs.rollout.demands import Demands, demands_of
from programs.selectors.body_plans import traits_of

KIND_WORDS = {str(value): str(words) for value, words in Equipment.Kind.choices}
SHOWN = 3


@dataclass(frozen=True)
class Wanted:
    """The filter, as it stands in the address; empty or None means all."""

    query: str = ""
    coach: int | None = None
    goal: str = ""
    level: str = ""
    days: int | None = None
    place: int | None = None
    free: bool = False


@dataclass(frozen=True)
class Check:
    """One thing to know before: `severity` stop, check or note, and its words; `more` is the whole list."""

    severity: str
    words: str
    more: str = ""


@dataclass(frozen=True)
class Candidate:
    """One client with what would be flagged or unknown, by column; None where nothing is."""

    client: Client
    screening: Check | None
    precautions: Check | None
    maxima: Check | None
    equipment: Check | None
    days: Check | None
    minutes: Check | None
    running: Check | None
    away: Check | None

    @property
    def checks(self) -> list[Check]:
        found = (
            self.screening, self.precautions, self.maxima, self.equipment, self.days, self.minutes, self.running,
            self.away,
        )  # fmt: skip
        return [one for one in found if one]

    @property
    def is_clear(self) -> bool:
        return not self.checks


@dataclass(frozen=True)
class Preview:
    """The candidates by name, what the template asks for, and how many there are of each kind of trouble."""

    rows: list[Candidate]
    demands: Demands
    start_on: date

    @property
    def until_on(self) -> date:
        return self.start_on + timedelta(weeks=self.demands.weeks, days=-1)

    @property
    def clear(self) -> int:
        return sum(1 for row in self.rows if row.is_clear)

    @property
    def counts(self) -> list[tuple[str, int]]:
        """('not screened', 4) and so on, those that occur."""
        kinds = {
            "not screened": "screening", "with a precaution against an exercise": "precautions",
            "with equipment missing": "equipment", "without some maximum": "maxima", "with too few days": "days",
            "with too little time": "minutes", "with a programme then": "running", "away then": "away",
        }  # fmt: skip
        found = [(words, sum(1 for row in self.rows if getattr(row, name))) for words, name in kinds.items()]
        return [(words, count) for words, count in found if count]


def preview(desk: Membership, body: Body, start_on: date, wanted: Wanted) -> Preview:
    """Unarchived clients this member sees, by the filter, each with what speaks against or is not known."""
    clients = with_traits(_clients(desk, wanted))
    traits, rules = traits_of([body]), house_rules(desk.practice)
    held = {client.pk: precautions_on(client, start_on) for client in clients}
    demands = demands_of(body, traits, rules)
    until = start_on + timedelta(weeks=demands.weeks, days=-1)
    ids = [client.pk for client in clients]
    known, running, away = _known(ids, demands), _running(ids, start_on, until), _away(ids, start_on, until)
    kits = _kits({client.place_id for client in clients if client.place_id} | demands.places)
    rows = [
        Candidate(
            client=client,
            screening=_screening(client, start_on),
            precautions=_precautions(held[client.pk], demands),
            maxima=_maxima(known.get(client.pk, set()), demands),
            equipment=_equipment(client, kits, demands),
            days=_too_few(demands.days, client.days_per_week),
            minutes=_too_little(client, demands),
            running=running.get(client.pk),
            away=away.get(client.pk),
        )
        for client in clients
    ]
    return Preview([row for row in rows if not (wanted.free and row.running)], demands, start_on)


def _clients(desk: Membership, wanted: Wanted) -> list[Client]:
    rows = client_rows(desk, wanted.query).prefetch_related(None)
    fields = {
        "coach_id": wanted.coach, "goal": wanted.goal, "level": wanted.level, "days_per_week__gte": wanted.days,
        "place_id": wanted.place,
    }  # fmt: skip
    return list(rows.filter(**{name: value for name, value in fields.items() if value}))


# fetched for all at once


def _known(ids: Sequence[int], demands: Demands) -> Mapping[int, set[int]]:
    """Exercises with an estimate, by client."""
    found: dict[int, set[int]] = {}
    rows = StrengthEstimate.objects.filter(client__in=ids, exercise__in=demands.maxima)
    for client, exercise in rows.values_list("client", "exercise"):
        found.setdefault(client, set()).add(exercise)
    return found


def _kits(places: Iterable[int]) -> Mapping[int, set[str]]:
    """Kinds of equipment by place."""
    found: dict[int, set[str]] = {}
    for place, kind in Equipment.objects.filter(place__in=list(places)).values_list("place", "kind").distinct():
        found.setdefault(place, set()).add(kind)
    return found


def _running(ids: Sequence[int], since: date, until: date) -> Mapping[int, Check]:
    """Programmes that overlap, the one that lasts longest."""
    rows = Program.objects.filter(client__in=ids, archived_on=None, start_on__lte=until)
    rows = rows.annotate(weeks=Max(F("blocks__first_week") + F("blocks__weeks") - 1))
    last: dict[int, tuple[date, str]] = {}
    for client, name, start, weeks in rows.values_list("client", "name", "start_on", "weeks"):
        end = start + timedelta(weeks=weeks or 0, days=-1) if start else since
        if client is not None and start is not None and end >= since:
            last[client] = max(last.get(client, (end, name)), (end, name))
    return {pk: Check("check", f"{name}, until {_day(end)}") for pk, (end, name) in last.items()}


def _away(ids: Sequence[int], since: date, until: date) -> Mapping[int, Check]:
    rows = Absence.objects.filter(client__in=ids, first_on__lte=until, last_on__gte=since).order_by("-first_on", "-id")
    return {
        row.client_id: Check("note", f"{row.get_kind_display()} {_day(row.first_on)} to {_day(row.last_on)}")
        for row in rows
    }


def _day(on: date) -> str:
    return f"{on:%a} {on.day} {on:%b}"


# one client


def _screening(client: Client, on: date) -> Check | None:
    words = {"missing": "not screened", "expired": f"expired by {_day(on)}"}.get(screening_state(client, on))
    return Check("stop", words) if words else None


def _listed(names: Sequence[str]) -> tuple[str, str]:
    """A short list, and the whole of it where the short one leaves some out."""
    if len(names) <= SHOWN:
        return ", ".join(names), ""
    return f"{', '.join(names[: SHOWN - 1])} and {len(names) - SHOWN + 1} more", ", ".join(names)


def _precautions(held: Iterable[Precaution], demands: Demands) -> Check | None:
    short, whole = [], []
    for row in held:
        ids = demands.against.get(row.code, ()) + demands.near_failure.get(row.muscle, ())
        if ids:
            words, more = _listed([demands.names[pk] for pk in dict.fromkeys(ids)])
            short.append(f"{row.words}: {words}")
            whole += [f"{row.words}: {more}"] if more else []
    return Check("check", "; ".join(short), "; ".join(whole)) if short else None


def _maxima(known: set[int], demands: Demands) -> Check | None:
    missing = [demands.names[pk] for pk in demands.maxima if pk not in known]
    if not missing:
        return None
    words, more = _listed(missing)
    count = f"{len(missing)} of {len(demands.maxima)}: " if len(demands.maxima) > 1 else ""
    return Check("note", f"{count}{words}", more)


def _equipment(client: Client, kits: Mapping[int, set[str]], demands: Demands) -> Check | None:
    if client.place_id is None and None in demands.kinds:
        return Check("note", "place of training not known")
    parts: dict[str, list[str]] = {}
    for place, kinds in demands.kinds.items():
        there = kits.get(place or client.place_id or 0, set())
        for kind, ids in kinds.items():
            if kind not in there:
                parts.setdefault(KIND_WORDS[kind], []).extend(demands.names[pk] for pk in ids)
    if not parts:
        return None
    short, whole = [], []
    for kind, names in parts.items():
        words, more = _listed(list(dict.fromkeys(names)))
        short.append(f"no {kind}: {words}")
        whole += [f"no {kind}: {more}"] if more else []
    return Check("check", "; ".join(short), "; ".join(whole))


def _too_few(days: int, has: int) -> Check | None:
    return Check("check", f"{days} days a week, has {has}") if days > has else None


def _too_little(client: Client, demands: Demands) -> Check | None:
    rules, there = house_rules(client), client.minutes_per_session
    if demands.minutes <= there + max(rules.over_time_share * there, rules.over_time_min):
        return None
    return Check("check", f"about {round(demands.minutes)} min, has {there}")
