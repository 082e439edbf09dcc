"""Several people on one clock with shared equipment: who uses what when, where too many need one thing, what helps."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from .errors import EngineError, instance, items, number, whole
from .plans import Key, _key

MOST_PEOPLE, MOST_STINTS = 40, 100


@dataclass(frozen=True)
class Stint:
    """One exercise (or one superset) of a person: seconds from its first warm-up to the end of its last rest.

    `needs`: (item, how many of it) held all that time; nothing for work that needs nothing shared.
    """

    key: Key
    seconds: float
    needs: tuple[tuple[Key, int], ...] = ()

    def __post_init__(self) -> None:
        _key("key of the stint", self.key)
        number("seconds", self.seconds, 0, 1_000_000)
        for pair in items("needs", self.needs, most=1000):
            item, many = items("need", pair) if isinstance(pair, (list, tuple)) and len(pair) == 2 else (None, 0)
            _key("item", item)
            whole("how many", many, 1, 1000)
        object.__setattr__(self, "needs", tuple((item, many) for item, many in self.needs))


@dataclass(frozen=True)
class Use:
    """A stint on the clock, in seconds from the common start."""

    person: Key
    stint: Stint
    start_s: float
    end_s: float


@dataclass(frozen=True)
class Clash:
    """A span in which more of an item is needed than there is; `uses` are all that need it then, in order."""

    item: Key
    start_s: float
    end_s: float
    needed: int
    there: int
    uses: tuple[Use, ...]


@dataclass(frozen=True)
class Swap:
    """Two stints of one person in each other's place; `left_s` is what clashes then, over all items and people."""

    person: Key
    first: Key
    second: Key
    left_s: float


Lines = Mapping[Any, Sequence[Stint]]
Counts = Mapping[Any, int]


def _checked(lines: Lines, counts: Counts) -> None:
    """Raises EngineError for what is no such mapping, or more of it than a room holds."""
    for name, given in (("lines", lines), ("counts", counts)):
        if not isinstance(given, Mapping):
            raise EngineError(name, given, "a mapping")
    if len(lines) > MOST_PEOPLE:
        raise EngineError("people", len(lines), f"at most {MOST_PEOPLE}")
    for person, stints in lines.items():
        _key("person", person)
        for stint in items("stints", stints, most=MOST_STINTS):
            instance("stint", stint, Stint)
    for item, count in counts.items():
        _key("item", item)
        whole("count", count, 0, 1_000_000)


def on_one_clock(lines: Lines) -> tuple[Use, ...]:
    """Everybody's stints one after another from a common start; people in the given order."""
    _checked(lines, {})
    return _on_one_clock(lines)


def _on_one_clock(lines: Lines) -> tuple[Use, ...]:
    made = []
    for person, stints in lines.items():
        start = 0.0
        for stint in stints:
            made.append(Use(person, stint, start, start + stint.seconds))
            start += stint.seconds
    return tuple(made)


def clashes(lines: Lines, counts: Counts) -> tuple[Clash, ...]:
    """Every span in which an item is needed more often than `counts` says it is there, earliest first.

    Items that `counts` does not name are never short. What ends when another begins does not clash with it.
    """
    _checked(lines, counts)
    return _clashes(_on_one_clock(lines), counts)


def _clashes(uses: Sequence[Use], counts: Counts) -> tuple[Clash, ...]:
    by_item: dict[Key, list[tuple[Use, int]]] = {}
    for use in uses:
        for item, many in use.stint.needs:
            if item in counts and use.end_s > use.start_s:
                by_item.setdefault(item, []).append((use, many))
    found = [one for item, rows in by_item.items() for one in _of_item(item, rows, counts[item])]
    return tuple(sorted(found, key=lambda one: (one.start_s, str(one.item))))


def _of_item(item: Key, rows: Sequence[tuple[Use, int]], there: int) -> list[Clash]:
    """Spans between starts and ends in which the sum is above what is there; neighbours of the same people joined."""
    if sum(many for _, many in rows) <= there:
        return []
    times = sorted({time for use, _ in rows for time in (use.start_s, use.end_s)})
    found: list[Clash] = []
    for start, end in pairwise(times):
        now = [(use, many) for use, many in rows if use.start_s <= start and use.end_s >= end]
        needed = sum(many for _, many in now)
        if needed <= there:
            continue
        uses = tuple(use for use, _ in now)
        if found and found[-1].end_s == start and found[-1].uses == uses:
            found[-1] = Clash(item, found[-1].start_s, end, needed, there, uses)
        else:
            found.append(Clash(item, start, end, needed, there, uses))
    return found


def clashing_s(lines: Lines, counts: Counts) -> float:
    """Seconds of all clashes together."""
    _checked(lines, counts)
    return _seconds(lines, counts)


def _seconds(lines: Lines, counts: Counts) -> float:
    return sum(one.end_s - one.start_s for one in _clashes(_on_one_clock(lines), counts))


def best_swap(lines: Lines, counts: Counts, clash: Clash) -> Swap | None:
    """The two stints of one person in this clash whose exchange leaves least to clash; None when none helps."""
    _checked(lines, counts)
    instance("clash", clash, Clash)
    best: Swap | None = None
    now = _seconds(lines, counts)
    for use in clash.uses:
        stints = list(lines.get(use.person, ()))
        if use.stint not in stints:
            raise EngineError("clash", use.person, "one found in these lines")
        at = stints.index(use.stint)
        for other in range(len(stints)):
            if other == at:
                continue
            tried = list(stints)
            tried[at], tried[other] = tried[other], tried[at]
            left = _seconds({**lines, use.person: tried}, counts)
            if left < (best.left_s if best else now) - 1e-6:
                first, second = sorted((at, other))
                best = Swap(use.person, stints[first].key, stints[second].key, left)
    return best


def staggered(lines: Lines, counts: Counts) -> dict[Key, tuple[Key, ...]]:
    """An order of stints for each person, turned round (the first ones last) so that less clashes; never more.

    Person after person takes the turn that clashes least with those before; one that changes nothing keeps the
    order as it is.
    """
    _checked(lines, counts)
    kept: dict[Key, Sequence[Stint]] = {}
    for person, stints in lines.items():
        turns = [[*stints[n:], *stints[:n]] for n in range(max(1, len(stints)))]
        kept[person] = min(turns, key=lambda turn: _seconds({**kept, person: turn}, counts))
    if _seconds(kept, counts) >= _seconds(lines, counts) - 1e-6:
        kept = dict(lines)
    return {person: tuple(stint.key for stint in stints) for person, stints in kept.items()}
