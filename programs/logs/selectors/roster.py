"""The roster: every client a row, ordered by need, in a number of queries that does not grow."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from clients.mapping import client_traits, house_rules
from clients.models import Client
from clients.selectors import visible_clients
from coachdesk import engine
from coachdesk.engine.need import Need, NeedFacts, Trend, facts_of_trends, need_of
from coachdesk.practice.models import Membership
from coachdesk.practice.one_trip import one_trip
from coachdesk.practice.text import fold
from programs.logs.bands import band_of
from programs.logs.models import ClientMessage, MuscleWeek, SessionLog
from programs.logs.selectors.plan_gaps import gap_trip, still_open, unseen_gaps
from programs.logs.week_sums import monday_of
from programs.models import PlannedSession, StrengthEstimate
from programs.selectors import OpenFlags, open_flags_for

WINDOW = 14
# Day, planned session, status.
Log = tuple[date, int | None, str]


@dataclass(frozen=True)
class Planned:
    """A planned session of a running or coming programme, on its date."""

    pk: int
    program: int
    name: str
    on: date


@dataclass(frozen=True)
class Bands:
    """Last week's done sets against the bands: how many muscles below, inside, above, and the worst one's words."""

    below: int
    inside: int
    above: int
    worst: str


@dataclass(frozen=True)
class RosterRow:
    """One client: what is next, what was done, what is open."""

    client: Client
    next: Planned | None
    done: int
    planned: int
    missed: int
    bands: Bands | None
    severities: tuple[tuple[str, int], ...]
    ends_on: date | None
    ends_in: int | None
    need: Need


@dataclass(frozen=True)
class Roster:
    """The rows, and for the owner the coaches to choose from: those who have clients."""

    rows: list[RosterRow]
    coaches: list[Membership]


def roster(desk: Membership, *, today: date, query: str = "", coach: int | None = None) -> Roster:
    """Unarchived clients this member sees, most needy first, then by name; found by any part of the name."""
    everybody, words = list(visible_clients(desk).filter(archived_on=None)), fold(query).split()
    clients = [
        client for client in everybody
        if coach in (None, client.coach_id) and all(word in client.folded for word in words)
    ]  # fmt: skip
    flags = open_flags_for(clients, today)
    plans, (logs, weeks, trends, unanswered, left) = _planned(clients, today), _done(clients, today)
    found = [
        _row(c, today, flags.get(c.pk, OpenFlags()), plans.get(c.pk, []), logs.get(c.pk, []), weeks.get(c.pk, []),
             trends.get(c.pk, []), unanswered[c.pk], left[c.pk])
        for c in clients
    ]  # fmt: skip
    rows = sorted(found, key=lambda row: (-row.need.score, row.client.folded, row.client.pk))
    owner = desk.role == Membership.Role.OWNER
    return Roster(rows, _coaches(everybody) if owner else [])


def _coaches(clients: Sequence[Client]) -> list[Membership]:
    found = {client.coach_id: client.coach for client in clients if client.coach}
    return sorted(found.values(), key=lambda one: (one.user.name, one.pk))


def _planned(clients: Sequence[Client], today: date) -> Mapping[int, list[Planned]]:
    """Sessions planned from two weeks ago on, by client, in order of date: one query of plain columns."""
    rows = PlannedSession.objects.filter(
        block__program__client__in=[c.pk for c in clients], block__program__archived_on=None
    ).values_list(
        "pk", "name", "week_no", "day", "block__program", "block__program__client", "block__program__start_on"
    )
    found: dict[int, list[Planned]] = {}
    for pk, name, week_no, day, program, client, start in rows.order_by("position", "id"):
        if client is None or start is None:
            continue
        on = start + timedelta(days=7 * (week_no - 1) + day)
        if on >= today - timedelta(days=WINDOW):
            found.setdefault(client, []).append(Planned(pk, program, name, on))
    for plans in found.values():
        plans.sort(key=lambda plan: plan.on)
    return found


Done = tuple[dict[int, list[Log]], dict[int, list[MuscleWeek]], dict[int, list[Trend]], Counter[int], Counter[int]]


def _done(clients: Sequence[Client], today: date) -> Done:
    """By client: what was logged lately, last week's sets of muscles, the trends of maxima, how many
    messages are not answered, and how many sessions were logged from a sheet that the plan had left.
    """
    ids, since = [c.pk for c in clients], today - timedelta(days=2 * WINDOW)
    gaps = unseen_gaps(ids).filter(session_log__done_on__gte=since)
    logs, weeks, trends, messages, left, plans = one_trip(
        SessionLog.objects.filter(client__in=ids, done_on__gte=since, done_on__lte=today).values_list(
            "client", "done_on", "planned_session", "status"
        ),
        MuscleWeek.objects.filter(client__in=ids, monday=monday_of(today) - timedelta(weeks=1)),
        StrengthEstimate.objects.filter(client__in=ids).values_list(
            "client", "exercise__folded", "pk", "exercise__name", "p_rising", "count"
        ),
        ClientMessage.objects.filter(client__in=ids, answered_at=None).values_list("client", "pk"),
        *gap_trip(gaps),
    )
    lately: dict[int, list[Log]] = {}
    for client, on, planned, status in logs:
        lately.setdefault(client, []).append((on, planned, status))
    muscles: dict[int, list[MuscleWeek]] = {}
    for row in weeks:
        muscles.setdefault(row.client_id, []).append(row)
    known: dict[int, list[Trend]] = {}
    for client, _, _, name, chance, count in sorted(trends):
        known.setdefault(client, []).append(Trend(name, chance, count))
    return lately, muscles, known, Counter(client for client, _ in messages), Counter(still_open(left, plans))


@dataclass(frozen=True)
class Fortnight:
    """The last 14 days, and today where it is done already: planned, done, missed; then what comes next."""

    done: int
    planned: int
    missed: int
    next: Planned | None


def _fortnight(plans: list[Planned], logs: list[Log], today: date) -> Fortnight:
    since = today - timedelta(days=WINDOW)
    answered = {planned for _, planned, _ in logs if planned is not None}
    done_plans = {planned for _, planned, status in logs if status == SessionLog.Status.DONE}
    due = [p for p in plans if since <= p.on < today or (p.on == today and p.pk in done_plans)]
    return Fortnight(
        done=sum(1 for plan in due if plan.pk in done_plans), planned=len(due),
        missed=sum(1 for plan in due if plan.pk not in done_plans),
        next=next((p for p in plans if p.on >= today and p.pk not in answered), None),
    )  # fmt: skip


def _end(plans: list[Planned], today: date) -> date | None:
    """The Sunday after the last planned session, or None when nothing is planned any more."""
    last = plans[-1].on if plans else today - timedelta(weeks=2)
    sunday = last + timedelta(days=6 - last.weekday())
    return sunday if sunday >= today else None


# Codes of flags that have a weight of their own.
OWN_WEIGHT = {"unrecovered", "maximum_old", "maximum_unknown", "pain_rule"}


def _row(
    client: Client, today: date, open_flags: OpenFlags, plans: list[Planned], logs: list[Log],
    weeks: list[MuscleWeek], trends: list[Trend], unanswered: int, plan_left: int,
) -> RosterRow:  # fmt: skip
    lately, ends_on, rules = _fortnight(plans, logs, today), _end(plans, today), house_rules(client)
    ends_in = (ends_on - today).days if ends_on else None
    severities = Counter(flag.severity for flag in (*open_flags.now, *open_flags.coming))
    found: dict[str, Any] = {**flag_facts(open_flags), **facts_of_trends(trends, rules)}
    facts = NeedFacts(
        **found, missed=lately.missed, planned=lately.planned,
        has_program=ends_on is not None, ends_in=ends_in, silent_days=_silence(logs, plans, today),
        messages=unanswered, plan_left=plan_left,
    )  # fmt: skip
    return RosterRow(
        client, lately.next, lately.done, lately.planned, lately.missed, bands_of(client, weeks, today),
        tuple((name, severities[name]) for name in ("stop", "check", "note") if severities[name]),
        ends_on, ends_in, need_of(facts, rules),
    )  # fmt: skip


def flag_facts(found: OpenFlags) -> dict[str, Any]:
    """What open flags say of need: each cause under the one weight that is its own."""
    stops = [flag for flag in found.now if flag.severity == "stop"]
    other = [flag for flag in found.now if flag.severity != "stop"]
    plain = [flag for flag in other if flag.code not in OWN_WEIGHT]
    return {
        "stops": tuple(flag.sentence for flag in stops),
        "coming_stops": tuple(flag.sentence for flag in found.coming),
        "checks": tuple(flag.sentence for flag in plain if flag.severity == "check"),
        "notes": tuple(flag.sentence for flag in plain if flag.severity == "note"),
        "pain": tuple(flag.sentence for flag in other if flag.code == "pain_rule"),
        "unrecovered": _named(other, "unrecovered", "muscle"),
        "old_maximum": _named(other, "maximum_old", "exercise"),
        "no_maximum": sum(1 for flag in other if flag.code == "maximum_unknown"),
    }


def _named(flags: Sequence[engine.Flag], code: str, what: str) -> tuple[str, ...]:
    """The muscles or exercises that flags of this code name, each once."""
    named = [str(dict(flag.numbers).get(what, "")) for flag in flags if flag.code == code]
    return tuple(dict.fromkeys(name for name in named if name))


def _silence(logs: list[Log], plans: list[Planned], today: date) -> int | None:
    """Days since anything was logged; without any log, since the first session that was due."""
    last = max((on for on, _, _ in logs), default=plans[0].on if plans else None)
    return max(0, (today - last).days) if last else None


def bands_of(client: Client, weeks: list[MuscleWeek], today: date) -> Bands | None:
    """Last week's sets against the bands, or None when nothing was logged in it.

    Above only when the low count is above, below only for muscles marked to grow and by the high count.
    """
    if not weeks:
        return None
    grow = {mark.muscle for mark in client.marked_muscles.all() if mark.aim == "grow"}
    sums = dict.fromkeys(sorted(grow), (0, 0, 0)) | {w.muscle: (w.sets, w.sets_low, w.sets_high) for w in weeks}
    traits, rules = client_traits(client, today), house_rules(client)
    below, above, inside = [], [], 0
    for code, (sets, least, most) in sums.items():
        band = band_of(traits, code, rules)
        if band is None:
            continue
        if least > 1000 * band[1]:
            above.append((sets / 1000 - band[1], code, f"{sets / 1000:g}, above {band[1]:g}"))
        elif most < 1000 * band[0] and code in grow:
            below.append((band[0] - sets / 1000, code, f"{sets / 1000:g}, below {band[0]:g}"))
        else:
            inside += 1
    worst = max(above + below, default=None)
    words = f"{engine.muscle(worst[1]).name} {worst[2]}" if worst else ""
    return Bands(len(below), inside, len(above), words)
