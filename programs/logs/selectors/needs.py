"""Working out how much clients need the coach on a day, in as many queries for many as for one.

Five queries for flags, three for plans and logs. The rows of the roster (`ClientNeed`) are these results, kept.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import F, Max, Q, QuerySet

from clients.mapping import client_traits, house_rules, precautions_on
from clients.models import Client
from clients.selectors import days_during
from coachdesk import engine
from coachdesk.engine.need import Need, NeedFacts, Trend
from coachdesk.practice.one_trip import one_trip
from programs.evidence.codes import flag_name
from programs.logs.bands import band_of
from programs.logs.models import ClientMessage, ClientNeed, MuscleWeek, SessionLog
from programs.logs.selectors.need_facts import facts_kept, need_by
from programs.logs.selectors.plan_gaps import gap_trip, still_open, unseen_gaps
from programs.logs.week_sums import monday_of
from programs.models import PlannedSession, StrengthEstimate
from programs.selectors import OpenFlags, open_flags_for

WINDOW, DAY = 14, timedelta(days=1)
SEVERITIES = ("stop", "check", "note")
# Codes of flags that have a weight of their own.
OWN_WEIGHT = {"unrecovered", "maximum_old", "maximum_unknown", "pain_rule"}
# Day, planned session, status.
Log = tuple[date, int | None, str]


@dataclass(frozen=True)
class Planned:
    """A planned session of a running or coming programme, on its date; `origin`: the template it was made of."""

    pk: int
    program: int
    name: str
    on: date
    origin: int | None


@dataclass(frozen=True)
class Known:
    """What one client's row is worked out from, beside flags: plans by date, logs, last week's sums, trends.

    `days`: the client's first and last day while it is today at the practice.
    """

    plans: Sequence[Planned] = ()
    logs: Sequence[Log] = ()
    weeks: Sequence[MuscleWeek] = ()
    trends: Sequence[Trend] = ()
    messages: int = 0
    plan_left: int = 0
    logged_on: date | None = None
    days: tuple[date, date] = (date.max, date.max)

    @property
    def last_on(self) -> date | None:
        """The last day of a session that was done, where the client is."""
        done = [on for on, _, status in self.logs if status == SessionLog.Status.DONE]
        return max([*done, *([self.logged_on] if self.logged_on else [])], default=None)


def behind(visible: Q, today: date) -> QuerySet[Client, int]:
    """Ids of these clients, archived ones apart, whose row is missing, of another day, or marked since."""
    rows = Client.objects.filter(visible, archived_on=None)
    stale = Q(need=None) | Q(need__on=None) | ~Q(need__on=today) | Q(need__marked__gt=F("need__worked"))
    return rows.filter(stale).order_by("pk").values_list("pk", flat=True)


def worked_out(clients: Sequence[Client], today: date) -> dict[int, ClientNeed]:
    """Unsaved rows by client id (coach, place and practice selected). `today` is the practice's day.

    What is due goes by the client's own day: a session is not missed before its day is over where they are, and one
    done on a day that the practice has not reached yet is done.
    """
    flags, known = open_flags_for(clients, today), known_of(clients, today)
    return {c.pk: _row(c, today, flags.get(c.pk, OpenFlags()), known.get(c.pk, Known())) for c in clients}


def known_of(clients: Sequence[Client], today: date) -> dict[int, Known]:
    """What was planned and done by client id; three queries."""
    ids, since = [c.pk for c in clients], today - timedelta(days=2 * WINDOW)
    gaps = unseen_gaps(ids).filter(session_log__done_on__gte=since)
    logs, weeks, trends, messages, left, drawn = one_trip(
        SessionLog.objects.filter(client__in=ids, done_on__gte=since, done_on__lte=today + DAY).values_list(
            "client", "done_on", "planned_session", "status"
        ),
        MuscleWeek.objects.filter(client__in=ids, monday=monday_of(today) - timedelta(weeks=1)),
        StrengthEstimate.objects.filter(client__in=ids).values_list(
            "client", "exercise__folded", "pk", "exercise__name", "p_rising", "count"
        ),
        ClientMessage.objects.filter(client__in=ids, answered_at=None).values_list("client", "pk"),
        *gap_trip(gaps),
    )
    open_gaps = Counter(still_open(left, drawn))
    lately = _by_client((row[0], tuple(row[1:])) for row in logs)
    rising = _by_client((row[0], Trend(*row[3:])) for row in sorted(trends))
    sums, waiting = _by_client((row.client_id, row) for row in weeks), Counter(row[0] for row in messages)
    plans, last = _planned(ids, today), _last_logged(ids, today)
    spans = {client.pk: days_during(client, today) for client in clients}
    return {
        pk: Known(
            plans.get(pk, []), _until(lately.get(pk, []), spans[pk][1]), sums.get(pk, []), rising.get(pk, []),
            waiting[pk], open_gaps[pk], last.get(pk), spans[pk],
        )
        for pk in ids
    }  # fmt: skip


def _until(logs: Sequence[Log], last: date) -> Sequence[Log]:
    """Without what is dated later than the client's day can be."""
    return [log for log in logs if log[0] <= last]


def _by_client(pairs: Iterable[tuple[int, Any]]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = {}
    for client, value in pairs:
        found.setdefault(client, []).append(value)
    return found


def _last_logged(ids: Sequence[int], today: date) -> dict[int, date]:
    done = SessionLog.objects.filter(client__in=ids, status=SessionLog.Status.DONE, done_on__lte=today)
    return dict(done.order_by().values_list("client").annotate(last=Max("done_on")))


def _planned(ids: Sequence[int], today: date) -> Mapping[int, list[Planned]]:
    """Sessions planned from two weeks ago on, by client, in order of date: one query of plain columns."""
    rows = PlannedSession.objects.filter(block__program__client__in=ids, block__program__archived_on=None).values_list(
        "pk", "name", "week_no", "day", "block__program", "block__program__client", "block__program__start_on",
        "block__program__origin",
    )  # fmt: skip
    found: dict[int, list[Planned]] = {}
    for pk, name, week_no, day, program, client, start, origin in rows.order_by("position", "id"):
        if client is None or start is None:
            continue
        on = start + timedelta(days=7 * (week_no - 1) + day)
        if on >= today - timedelta(days=WINDOW):
            found.setdefault(client, []).append(Planned(pk, program, name, on, origin))
    for plans in found.values():
        plans.sort(key=lambda plan: plan.on)
    return found


@dataclass(frozen=True)
class Fortnight:
    """The last 14 days, and the client's today where it is done already: planned, done, missed; then what is next."""

    done: int
    planned: int
    missed: int
    next: Planned | None


def _fortnight(known: Known, today: date) -> Fortnight:
    since, plans, (first, last) = today - timedelta(days=WINDOW), known.plans, known.days
    answered = {planned for _, planned, _ in known.logs if planned is not None}
    done_plans = {planned for _, planned, status in known.logs if status == SessionLog.Status.DONE}
    due = [p for p in plans if since <= p.on < first or (first <= p.on <= last and p.pk in done_plans)]
    return Fortnight(
        done=sum(1 for plan in due if plan.pk in done_plans), planned=len(due),
        missed=sum(1 for plan in due if plan.pk not in done_plans),
        next=next((p for p in plans if p.on >= first and p.pk not in answered), None),
    )  # fmt: skip


def _end(plans: Sequence[Planned], today: date) -> date | None:
    """The Sunday after the last planned session, or None when nothing is planned any more."""
    last = plans[-1].on if plans else today - timedelta(weeks=2)
    sunday = last + timedelta(days=6 - last.weekday())
    return sunday if sunday >= today else None


def _row(client: Client, today: date, flags: OpenFlags, known: Known) -> ClientNeed:
    lately, ends_on = _fortnight(known, today), _end(known.plans, today)
    facts = facts_kept(_facts(today, flags, known, lately, ends_on), known.trends)
    need = need_by(facts, house_rules(client))
    all_flags = (*flags.now, *flags.coming)
    counts = Counter(flag.severity for flag in all_flags)
    held = precautions_on(client, today)
    marks = [mark.muscle for mark in client.marked_muscles.all()]
    origin = (lately.next or known.plans[-1]).origin if ends_on else None
    return ClientNeed(
        client=client, on=today, score=round(1000 * need.score),
        codes=_words([*counts, *(flag.code for flag in all_flags)]),
        muscles=_words([*marks, *(row.muscle for row in held), *(flag.where.muscle for flag in all_flags)]),
        precautions=_words([row.code or "other" for row in held]), origin=origin, ends_on=ends_on,
        last_on=known.last_on, value=_value(client, today, known, lately, need, counts) | {"facts": facts},
    )  # fmt: skip


def _words(found: Iterable[str | None]) -> str:
    """Words to be found by: between spaces, each once; nothing for none."""
    words = sorted({word for word in found if word})
    return f" {' '.join(words)} " if words else ""


def _value(
    client: Client, today: date, known: Known, lately: Fortnight, need: Need, counts: Counter[str]
) -> dict[str, Any]:
    """What the roster shows, as JSON: version 2; beside it stand the facts that the score follows from."""
    following, bands = lately.next, bands_of(client, known.weeks, today)
    return {
        "v": 2, "reasons": [[one.points, one.words, one.rule] for one in need.reasons],
        "next": following and [following.pk, following.program, following.name, following.on.isoformat()],
        "done": lately.done, "planned": lately.planned, "missed": lately.missed,
        "bands": bands and [bands.below, bands.inside, bands.above, bands.worst, bands.low],
        "severities": [[name, counts[name]] for name in SEVERITIES if counts[name]],
    }  # fmt: skip


def _facts(today: date, flags: OpenFlags, known: Known, lately: Fortnight, ends_on: date | None) -> NeedFacts:
    return NeedFacts(
        **flag_facts(flags), missed=lately.missed, planned=lately.planned, has_program=ends_on is not None,
        ends_in=(ends_on - today).days if ends_on else None, silent_days=_silence(known, today),
        messages=known.messages, plan_left=known.plan_left,
    )  # fmt: skip


def flag_facts(found: OpenFlags) -> dict[str, Any]:
    """What open flags say of need: each cause under the one weight that is its own."""
    stops = [flag for flag in found.now if flag.severity == "stop"]
    other = [flag for flag in found.now if flag.severity != "stop"]
    plain = [flag for flag in other if flag.code not in OWN_WEIGHT]
    return {
        "stops": tuple(flag.sentence for flag in stops),
        "coming_stops": tuple(flag.sentence for flag in found.coming),
        "checks": _told([flag for flag in plain if flag.severity == "check"]),
        "notes": tuple(flag_name(flag.code) for flag in plain if flag.severity == "note"),
        "pain": tuple(flag.sentence for flag in other if flag.code == "pain_rule"),
        "unrecovered": _named(other, "unrecovered", "muscle"),
        "old_maximum": _named(other, "maximum_old", "exercise"),
        "no_maximum": sum(1 for flag in other if flag.code == "maximum_unknown"),
    }


def _told(flags: Sequence[engine.Flag]) -> tuple[str, ...]:
    """The sentence of the only one; of several the kind of each."""
    return tuple(flag.sentence if len(flags) == 1 else flag_name(flag.code) for flag in flags)


def _named(flags: Sequence[engine.Flag], code: str, what: str) -> tuple[str, ...]:
    """The muscles or exercises that flags of this code name, each once."""
    named = [str(dict(flag.numbers).get(what, "")) for flag in flags if flag.code == code]
    return tuple(dict.fromkeys(name for name in named if name))


def _silence(known: Known, today: date) -> int | None:
    """Days since anything was logged; without any log, since the first session that was due."""
    days = [on for on, _, _ in known.logs] + ([known.last_on] if known.last_on else [])
    last = max(days, default=known.plans[0].on if known.plans else None)
    return max(0, (today - last).days) if last else None


@dataclass(frozen=True)
class Bands:
    """Last week's done sets against the bands: how many muscles below, inside, above, and the worst one's words.

    `low`: below too, and not marked to grow, so that nobody asked for more.
    """

    below: int
    inside: int
    above: int
    worst: str
    low: int = 0

    @property
    def count(self) -> int:
        """The muscles that have a band."""
        return self.below + self.inside + self.above + self.low

    @property
    def more(self) -> int:
        """How many beside the worst one ask for a look."""
        return max(0, self.below + self.above - 1)


def bands_of(client: Client, weeks: Sequence[MuscleWeek], today: date) -> Bands | None:
    """Last week's sets against the bands, or None when nothing was logged in it.

    Above only when the low count is above, below only for muscles marked to grow and by the high count.
    """
    if not weeks:
        return None
    grow = {mark.muscle for mark in client.marked_muscles.all() if mark.aim == "grow"}
    sums = dict.fromkeys(sorted(grow), (0, 0, 0)) | {w.muscle: (w.sets, w.sets_low, w.sets_high) for w in weeks}
    traits, rules = client_traits(client, today), house_rules(client)
    below, above, inside, low = [], [], 0, 0
    for code, (sets, least, most) in sums.items():
        band = band_of(traits, code, rules)
        if band is None:
            continue
        if least > 1000 * band[1]:
            above.append((sets / 1000 - band[1], code, f"{sets / 1000:g}, above {band[1]:g}"))
        elif most < 1000 * band[0] and code not in grow:
            low += 1
        elif most < 1000 * band[0]:
            below.append((band[0] - sets / 1000, code, f"{sets / 1000:g}, below {band[0]:g}"))
        else:
            inside += 1
    worst = max(above + below, default=None)
    words = f"{engine.muscle(worst[1]).name} {worst[2]}" if worst else ""
    return Bands(len(below), inside, len(above), words, low)
