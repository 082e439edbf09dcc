"""The longest hold and the farthest distance of a block, beside the best from before it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.db.models import F, Max, Q, QuerySet

from clients.models import Client, Equipment
from coachdesk import engine
from programs.logs.models import SetLog
from programs.models import TimedBest

COUNTED = ("seconds", "metres")
UNITS = {"seconds": "s", "metres": "m"}
SIDES = {"l": ", left", "r": ", right"}


class BestKey(NamedTuple):
    """What is compared only with itself: exercise, side, kind of amount, and what was on it."""

    folded: str
    name: str
    exercise: int
    equipment: str
    side: str
    kind: str
    load: int
    unit: str
    setting: str


@dataclass(frozen=True)
class BestLine:
    """One exercise at one load: the most of the block in whole seconds or metres, and the most before (None: none)."""

    key: BestKey
    before: int | None
    best: int

    @property
    def name(self) -> str:
        return self.key.name + SIDES.get(self.key.side, "")

    @property
    def load(self) -> str:
        """'medium', '12 kg', 'body weight'; nothing where no load was noted."""
        if self.key.setting or self.key.load:
            return self.key.setting or engine.load_in_words(self.key.load, self.key.unit)
        return "body weight" if self.key.equipment == Equipment.Kind.BODYWEIGHT else ""

    @property
    def unit(self) -> str:
        return UNITS[self.key.kind]

    @property
    def moved(self) -> int | None:
        return None if self.before is None else self.best - self.before

    @property
    def words(self) -> str:
        """'15 s longer', '5 m less far', 'as before', 'first done in this block'."""
        if self.moved is None:
            return "first done in this block"
        if not self.moved:
            return "as before"
        more, less = ("longer", "shorter") if self.key.kind == "seconds" else ("farther", "less far")
        return f"{abs(self.moved)} {self.unit} {more if self.moved > 0 else less}"


def report_bests(client: Client, first: date, last: date) -> tuple[BestLine, ...]:
    """Holds and distances done from `first` to `last`, in sets and in tests: gains first, then by name; two queries."""
    sets = client_sets(client, last).annotate(on=F("done_on"), amount=F("reps"))
    tests = TimedBest.objects.filter(client=client, on__lte=last).annotate(rep_kind=F("kind"))
    found: dict[BestKey, tuple[int | None, int | None]] = {}
    for key, before, best in [*_most(sets, first, "setting"), *_most(tests, first)]:
        was, now = found.get(key, (None, None))
        found[key] = (_larger(was, before), _larger(now, best))
    lines = [BestLine(key, before, best) for key, (before, best) in found.items() if best]
    return tuple(sorted(lines, key=lambda line: (-_gain(line), line.key)))


def client_sets(client: Client, last: date) -> QuerySet[SetLog]:
    """The client's sets counted in time or distance, up to a day."""
    return SetLog.objects.filter(client=client, rep_kind__in=COUNTED, done_on__lte=last, reps__gt=0)


def _most(
    rows: "QuerySet[SetLog] | QuerySet[TimedBest]", first: date, *more: str
) -> Iterable[tuple[BestKey, int | None, int | None]]:
    """(key, the most before the first day, the most from it on): worked out by the database."""
    lift = ("exercise__folded", "exercise__name", "exercise_id", "exercise__equipment_kind", "side", "rep_kind")
    most = rows.order_by("exercise_id").values_list(*lift, "load", "unit", *more).annotate(
        most_before=Max("amount", filter=Q(on__lt=first)), most_since=Max("amount", filter=Q(on__gte=first))
    )  # fmt: skip
    for folded, name, exercise, equipment, side, kind, load, unit, *rest in most:
        *setting, before, since = rest
        worn = (load or 0, unit if load else "", setting[0] if setting else "")
        yield BestKey(folded, name, exercise, equipment, side, kind, *worn), before, since


def _larger(one: int | None, other: int | None) -> int | None:
    return max((value for value in (one, other) if value is not None), default=None)


def _gain(line: BestLine) -> float:
    """By how much of the best before it is better; nothing where it is not, or there was none."""
    return max(0.0, line.moved / line.before) if line.moved and line.before else 0.0
