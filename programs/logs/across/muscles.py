"""How many clients are under, inside and over the band of each muscle in a week, and who they are."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from clients.mapping import client_traits, house_rules
from clients.models import Client
from clients.selectors import give_traits, trait_rows, visible_clients
from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.one_trip import one_trip
from programs.figures.week_table import Sets, outside
from programs.logs.bands import band_of
from programs.logs.models import MuscleWeek
from programs.logs.week_sums import monday_of

WHERE = ("below", "inside", "above")
# More names than this are counted, not listed.
MOST_NAMED = 200


@dataclass(frozen=True)
class Standing:
    """A client's week of a muscle: sets done (with low and high count) against their own band."""

    client: Client
    sets: Sets
    band: tuple[float, float]
    where: str


@dataclass(frozen=True)
class MuscleLine:
    """One muscle: the clients by where they stand; `without`: those whose band is the coach's to set."""

    code: str
    name: str
    below: tuple[Standing, ...]
    inside: tuple[Standing, ...]
    above: tuple[Standing, ...]
    without: int

    @property
    def quiet(self) -> str:
        """The group that asks for nothing, and is folded."""
        return "Inside the band"

    @property
    def groups(self) -> list[tuple[str, tuple[Standing, ...], int]]:
        """(words, clients to name, how many more) of each group."""
        found = (("Below the band", self.below), ("Above the band", self.above), (self.quiet, self.inside))
        return [(words, some[:MOST_NAMED], max(0, len(some) - MOST_NAMED)) for words, some in found]

    @property
    def count(self) -> int:
        return len(self.below) + len(self.inside) + len(self.above)


@dataclass(frozen=True)
class MusclesPage:
    """A week over the practice; `trained`: clients with anything done in it, of `clients` in all."""

    monday: date
    today: date
    lines: tuple[MuscleLine, ...]
    trained: int
    clients: int
    chosen: MuscleLine | None

    @property
    def is_now(self) -> bool:
        return self.monday == monday_of(self.today)

    @property
    def is_last(self) -> bool:
        """Whether it is the last week that is over."""
        return self.later == monday_of(self.today)

    @property
    def earlier(self) -> date:
        return self.monday - timedelta(weeks=1)

    @property
    def later(self) -> date | None:
        return None if self.is_now else self.monday + timedelta(weeks=1)

    @property
    def sentence(self) -> str:
        """What stands out: the muscle with the most clients below, and that with the most above."""
        below = max(self.lines, key=lambda one: len(one.below), default=None)
        above = max(self.lines, key=lambda one: len(one.above), default=None)
        parts = []
        if below and below.below:
            parts.append(f"{below.name} is below the band for the most ({len(below.below)} of {below.count})")
        if above and above.above:
            parts.append(f"{above.name} above it for the most ({len(above.above)} of {above.count})")
        if not self.trained:
            return ""
        return f"{'; '.join(parts)}." if parts else "Nobody who trained is outside a band."


def muscles_page(desk: Membership, *, today: date, week: str = "", muscle: str = "") -> MusclesPage:
    """A week of every client this member sees: the one of a day typed, else the last that is over; two queries."""
    monday = _monday(today, week)
    clients = list(visible_clients(desk).filter(archived_on=None))
    *traits, rows = one_trip(
        *trait_rows(clients), MuscleWeek.objects.filter(client__in=[one.pk for one in clients], monday=monday)
    )
    give_traits(clients, traits)
    done: dict[int, dict[str, MuscleWeek]] = {}
    for row in rows:
        done.setdefault(row.client_id, {})[row.muscle] = row
    trained = [one for one in clients if one.pk in done]
    lines = _lines(trained, done, today)
    chosen = next((line for line in lines if line.code == muscle), None)
    return MusclesPage(monday, today, lines, len(trained), len(clients), chosen)


def _monday(today: date, typed: str) -> date:
    try:
        wanted = date.fromisoformat(typed[:10])
    except ValueError:
        # A week that has just begun has everybody below.
        return monday_of(today) - timedelta(weeks=1)
    return monday_of(min(today, max(wanted, date(1990, 1, 1))))


def _lines(trained: Iterable[Client], done: dict[int, dict[str, MuscleWeek]], today: date) -> tuple[MuscleLine, ...]:
    found: dict[str, dict[str, list[Standing]]] = {m.code: {where: [] for where in WHERE} for m in engine.MUSCLES}
    without = dict.fromkeys(found, 0)
    for client in trained:
        traits, rules = client_traits(client, today), house_rules(client)
        for code, groups in found.items():
            band = band_of(traits, code, rules)
            if band is None:
                without[code] += 1
                continue
            sets = _sets(done[client.pk].get(code))
            where = outside(sets, band) or "inside"
            groups[where].append(Standing(client, sets, band, where))
    made = []
    for m in engine.MUSCLES:
        below, inside, above = (tuple(found[m.code][where]) for where in WHERE)
        made.append(MuscleLine(m.code, m.name, below, inside, above, without[m.code]))
    return tuple(made)


def _sets(row: MuscleWeek | None) -> Sets:
    return Sets(row.sets / 1000, row.sets_low / 1000, row.sets_high / 1000) if row else Sets(0.0, 0.0, 0.0)
