"""Reading what is known of a client's maxima."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from uuid import UUID

from django.db.models import Exists, Max, Min, OuterRef, Q, QuerySet

from clients.mapping import house_rules
from clients.models import Client
from coachdesk import engine
from programs.mapping import SEEN, Seen, evidence_values, seen_from, strength_from
from programs.models import PainReport, StrengthEstimate, StrengthObservation, TimedBest

# An estimate rests on the last year of its own evidence: what is older hardly weighs, and a set logged after ten years
# must not cost more than one logged after one. Our choice, no source.
EVIDENCE = timedelta(days=365)


def estimates_of(client: Client) -> QuerySet[StrengthEstimate]:
    """The client's estimates, one per exercise, side and machine, by exercise name."""
    return client.strength_estimates.select_related("exercise").order_by("exercise__folded", "side", "machine", "id")


def tests_of(client: Client) -> QuerySet[StrengthObservation]:
    """The client's tested lifts, newest first."""
    rows = client.strength_observations.filter(is_test=True).select_related("exercise")
    return rows.order_by("-on", "-id")


def bests_of(client: Client) -> QuerySet[TimedBest]:
    """The client's best times and distances, newest first."""
    return client.timed_bests.select_related("exercise").order_by("-on", "-id")


def machine_names(client: Client) -> dict[str, str]:
    """The machines that evidence stays apart by, in words: the names of the practice's places; one query."""
    return {f"place:{pk}": name for pk, name in client.practice.places.values_list("pk", "name")}


def seen_words(row: StrengthObservation | Seen) -> str:
    """The load of one piece of evidence: '82.5 kg'; of body-weight work also what was moved in all that day."""
    words = engine.load_in_words(row.load, row.unit)
    if not row.body_load:
        return words
    said = "body weight" if not row.load else words if row.load < 0 else f"body weight + {words}"
    return f"{said} ({engine.format_load(row.moved or 0)} {row.unit} moved)"


def observations_of(client: Client, exercise_ids: Iterable[int] | None = None) -> QuerySet[StrengthObservation]:
    """All evidence about the client's maxima, oldest first within each exercise and side."""
    rows = client.strength_observations.filter(body_load__isnull=False)
    if exercise_ids is not None:
        rows = rows.filter(exercise_id__in=list(exercise_ids))
    # Within a day by value, not by id: evidence of a log is rewritten, and the estimate must not depend on when.
    # Fresh sets come first, as they were done.
    return rows.order_by(
        "exercise_id", "side", "machine", "on", "-is_test", "lower_bound", "-strength_before", "load",
        "body_load", "reps", "rir", "id",
    )  # fmt: skip


@dataclass(frozen=True)
class Evidence:
    """What was seen of one exercise, side and machine, oldest first, and the same as the engine's values.

    `is_all`: nothing older was left out.
    """

    rows: tuple[Seen, ...]
    values: tuple[engine.Observation, ...]
    is_all: bool = True

    @property
    def first(self) -> Seen:
        return self.rows[0]

    def strength(self, as_of: date) -> engine.Strength | None:
        """The estimate on a day not before the last row."""
        return strength_from(self.values, self.first.exercise.endurance, as_of)

    def over_days(self, days: Iterable[date]) -> list[tuple[date, engine.Strength]]:
        """(day, estimate after it) for these of the days of evidence, the last of all as `strength` gives it."""
        wanted = set(days)
        endurance = self.first.exercise.endurance
        log = engine.StrengthLog(endurance, prior=engine.prior_from_log(self.values, endurance))
        found: dict[date, engine.Strength] = {}
        for n, seen in enumerate(self.values):
            log.add(seen)
            if seen.on in wanted and (n + 1 == len(self.values) or self.values[n + 1].on != seen.on):
                known = log.strength(seen.on)
                if known is not None:
                    found[seen.on] = known
        return list(found.items())

    def on_day(self, day: date) -> engine.Strength | None:
        """The estimate as it stood at the end of a day, with what the whole log says of the RIR answers."""
        endurance = self.first.exercise.endurance
        log = engine.StrengthLog(endurance, prior=engine.prior_from_log(self.values, endurance))
        for seen in self.values:
            if seen.on <= day:
                log.add(seen)
        return log.strength(day)

    def change_since(self, day: date) -> tuple[engine.Strength, engine.StrengthChange] | None:
        """(the estimate of a day by the whole log, what became of it up to its end).

        The first day that more than bounds speak of stands for an earlier one; None when that is the last.
        """
        endurance = self.first.exercise.endurance
        log = engine.StrengthLog(endurance, prior=engine.prior_from_log(self.values, endurance))
        marked, last = False, self.values[-1].on
        for seen, following in zip(self.values, (*self.values[1:], None), strict=True):
            log.add(seen)
            ends = following is None or following.on > seen.on
            if ends and not marked and (following is None or following.on > day) and seen.on < last:
                marked = log.mark()
        return log.change() if marked else None

    def without(self, source_uid: UUID) -> "Evidence":
        """The same without one session's sets."""
        kept = [n for n, row in enumerate(self.rows) if row.source_uid != source_uid]
        return Evidence(tuple(self.rows[n] for n in kept), tuple(self.values[n] for n in kept), self.is_all)


def evidence_of(
    client: Client, exercise_ids: Iterable[int] | None = None, until: date | None = None, since: date | None = None
) -> list[Evidence]:
    """The last year of evidence of these exercises (or all) up to a day, by exercise, side and machine.

    `since`: the year before that day instead, and what followed; one query less.
    """
    rows = observations_of(client, exercise_ids)
    if until is not None:
        rows = rows.filter(on__lte=until)
    rules = house_rules(client)
    mine = Q(exercise=None) | Q(exercise_id=OuterRef("exercise_id"))
    told = PainReport.objects.filter(mine, client_id=client.pk, source_uid=OuterRef("source_uid"))
    # A set that ends in pain says how much it hurt, not how strong the client is: it neither raises nor lowers.
    rows = rows.exclude(Exists(told.filter(pain__gt=rules.pain_hold)))
    spans = _spans(rows) if since is None else {}
    rows = rows.filter(_last_years(spans) if since is None else Q(on__gt=since - EVIDENCE))
    rows = rows.annotate(hurts=Exists(told.filter(pain__gt=rules.pain_go_on)))
    seen = (seen_from(row) for row in rows.values_list(*SEEN))
    groups = ((key, tuple(group)) for key, group in groupby(seen, lambda o: (o.exercise_id, o.side, o.machine)))
    return [_of_last_year(group, spans[key]) if since is None else _evidence(group) for key, group in groups]


def _evidence(rows: tuple[Seen, ...], is_all: bool = True) -> Evidence:
    return Evidence(rows, tuple(evidence_values(rows, is_all=is_all)), is_all)


def _of_last_year(rows: tuple[Seen, ...], span: tuple[date, date]) -> Evidence:
    first, last = span
    return _evidence(tuple(row for row in rows if row.on > last - EVIDENCE), first > last - EVIDENCE)


Spans = dict[tuple[int, str, str], tuple[date, date]]


def _spans(rows: QuerySet[StrengthObservation]) -> Spans:
    """(first day, last day) by exercise, side and machine; one query."""
    each = rows.order_by().values("exercise_id", "side", "machine").annotate(first=Min("on"), last=Max("on"))
    found = each.values_list("exercise_id", "side", "machine", "first", "last")
    return {(exercise, side, machine): (first, last) for exercise, side, machine, first, last in found}


def _last_years(spans: Spans) -> Q:
    """Rows of the last year before the last of their exercise, side and machine, and few others.

    What was done within the last year has one bound, so that the query stays short; what was not, one of its own.
    """
    newest = max((last for _, last in spans.values()), default=date.max)
    live = [last for _, last in spans.values() if last > newest - EVIDENCE]
    wanted = Q(on__gt=min(live, default=date.max) - EVIDENCE)
    for (exercise, side, machine), (_, last) in spans.items():
        if last <= newest - EVIDENCE:
            wanted |= Q(exercise_id=exercise, side=side, machine=machine, on__gt=last - EVIDENCE)
    return wanted
