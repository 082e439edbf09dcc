"""What is left of a session made to fit the minutes left: supersets, then shorter rests, then drops or fewer sets."""

# Nothing is brought nearer to failure, so no client's rule about failure can be broken: sets keep their reps in
# reserve, and where a rest is shorter the reps give. Two exercises are done in turn only where they share no muscle,
# so that each muscle rests as long as before while the other works (common practice, no source).

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations

from .errors import instance, items, number, one_of, whole
from .flag_session import _SHORTEST_REST
from .plans import EQUIPMENT_KINDS, Key, _key, _shares
from .rules import DEFAULT, Rules

_REST_STEP, _MOST_S = 15.0, 100_000
_OWN_BODY = "bodyweight"


@dataclass(frozen=True)
class SetLeft:
    """One set still to do: seconds of work with all that lies inside it, and the rest after it."""

    work_s: float
    rest_s: float

    def __post_init__(self) -> None:
        number("seconds of work", self.work_s, 0, _MOST_S)
        number("seconds of rest", self.rest_s, 0, _MOST_S)


@dataclass(frozen=True)
class InDrops:
    """All sets left of an exercise done as one with drops: seconds of work, and how many sets it counts for."""

    work_s: float
    counts: float

    def __post_init__(self) -> None:
        number("seconds of a drop set", self.work_s, 0, _MOST_S)
        number("sets that a drop set counts for", self.counts, 0, 100)


@dataclass(frozen=True)
class WorkLeft:
    """One exercise with its sets still to do, and how many are done. `lead_s`: set-up and warm-up before the first.

    `muscles`: (code, what a set counts for), 1 direct and 0.5 indirect; `in_turn`: part of a superset as planned;
    `drops`: what the client's rules allow in place of the sets left, counting for no more than they do.
    """

    key: Key
    muscles: tuple[tuple[str, float], ...]
    equipment_kind: str
    lead_s: float
    sets: tuple[SetLeft, ...]
    done: int = 0
    in_turn: bool = False
    drops: tuple[InDrops, ...] = ()

    def __post_init__(self) -> None:
        _key("exercise key", self.key)
        object.__setattr__(self, "muscles", _shares(self.muscles))
        one_of("equipment kind", self.equipment_kind, EQUIPMENT_KINDS)
        number("seconds before the first set", self.lead_s, 0, _MOST_S)
        object.__setattr__(self, "sets", items("sets left", self.sets, most=100))
        for one in self.sets:
            instance("set left", one, SetLeft)
        whole("sets done", self.done, 0, 100)
        instance("part of a superset", self.in_turn, bool)
        object.__setattr__(self, "drops", items("drop sets", self.drops, most=10))
        for drop in self.drops:
            number("sets that a drop set counts for", instance("drop set", drop, InDrops).counts, 0, len(self.sets))


@dataclass(frozen=True)
class Shorter:
    """The rest of the session as it fits. `rest_s`: no rest is longer, None as planned; `kept`: sets by exercise.

    `drops`: the exercise whose sets left are one with drops (`kept` says 1), and which of its `drops` it is.

    `muscles`: (code, fractional sets as planned, fractional sets as kept), done ones included, the worst kept first.
    """

    before_s: float
    seconds: float
    fits: bool
    pairs: tuple[tuple[Key, Key], ...]
    rest_s: float | None
    kept: tuple[tuple[Key, int], ...]
    muscles: tuple[tuple[str, float, float], ...]
    drops: tuple[Key, InDrops] | None = None


@dataclass(frozen=True)
class _Plan:
    works: tuple[WorkLeft, ...]
    pairs: tuple[tuple[Key, Key], ...]
    rest_s: float | None
    walk_s: float
    drops: tuple[Key, InDrops] | None = None

    @property
    def seconds(self) -> float:
        by_key = {one.key: one for one in self.works}
        pairs = [(by_key[a], by_key[b]) for a, b in self.pairs if by_key[a].sets and by_key[b].sets]
        paired = {one.key for pair in pairs for one in pair}
        alone = [one for one in self.works if one.key not in paired and one.sets]
        return sum(self._pair(*pair) for pair in pairs) + sum(one.lead_s + self._sets(one.sets) for one in alone)

    def _rest(self, one: SetLeft) -> float:
        return one.rest_s if self.rest_s is None else min(one.rest_s, self.rest_s)

    def _sets(self, sets: Sequence[SetLeft]) -> float:
        return sum(one.work_s for one in sets) + sum(self._rest(one) for one in sets[:-1])

    def _pair(self, a: WorkLeft, b: WorkLeft) -> float:
        """Sets in turn: after both, what each muscle's rest still lacks beyond the work of the other and the walk."""
        total, rounds = a.lead_s + b.lead_s, min(len(a.sets), len(b.sets))
        for n, (one, other) in enumerate(zip(a.sets, b.sets, strict=False), start=1):
            lacks = max(self._rest(one) - other.work_s, self._rest(other) - one.work_s) - 2 * self.walk_s
            more = n < max(len(a.sets), len(b.sets))
            total += one.work_s + other.work_s + self.walk_s + (self.walk_s + max(0.0, lacks) if more else 0.0)
        return total + self._sets((a.sets if len(a.sets) > rounds else b.sets)[rounds:])


def shorten(works: Sequence[WorkLeft], seconds: float, rules: Rules = DEFAULT) -> Shorter:
    """The work left in so many seconds, each measure only as far as it is needed. `fits` False: not even one set does.

    Sets come off where the muscle that keeps least keeps most of its week's share of this session; one of every
    exercise stays while that is possible. One exercise is done with drops where its muscles keep more that way.
    """
    given = items("work left", works)
    for one in given:
        instance("exercise", one, WorkLeft)
    limit = number("seconds left", seconds, 0, _MOST_S)
    instance("rules", rules, Rules)
    whole = _Plan(tuple(given), (), None, rules.change_plates_s)
    made = _dropped(_brisker(_paired(whole, limit), limit), limit)
    kept = tuple((one.key, len(one.sets)) for one in made.works)
    return Shorter(
        whole.seconds, made.seconds, made.seconds <= limit, made.pairs, made.rest_s, kept,
        _muscles(whole.works, made), made.drops,
    )  # fmt: skip


def _paired(plan: _Plan, limit: float) -> _Plan:
    while plan.seconds > limit:
        taken = {key for pair in plan.pairs for key in pair}
        free = [one for one in plan.works if one.key not in taken and one.sets and not one.in_turn]
        tried = [
            replace(plan, pairs=(*plan.pairs, (a.key, b.key))) for a, b in combinations(free, 2) if _go_together(a, b)
        ]
        best = min(tried, key=lambda one: one.seconds, default=plan)
        if best.seconds >= plan.seconds:
            break
        plan = best
    return plan


def _go_together(a: WorkLeft, b: WorkLeft) -> bool:
    """No muscle in common, and two stations that one person can hold at once."""
    shared = {code for code, _ in a.muscles} & {code for code, _ in b.muscles}
    stations = a.equipment_kind != b.equipment_kind or _OWN_BODY in (a.equipment_kind, b.equipment_kind)
    return not shared and stations


def _brisker(plan: _Plan, limit: float) -> _Plan:
    longest = max((one.rest_s for work in plan.works for one in work.sets[:-1]), default=0.0)
    rest = longest
    while plan.seconds > limit and rest > _SHORTEST_REST:
        rest = max(_SHORTEST_REST, rest - _REST_STEP)
        plan = replace(plan, rest_s=rest)
    return plan


def _dropped(plan: _Plan, limit: float) -> _Plan:
    """Fewer sets, or one exercise with drops and then fewer, whichever keeps more; sets as planned where it is even.

    Drops go last and are not done in turn with anything, so that their exercise is taken out of its pair.
    """
    best = _fewer(plan, limit, plan.works)
    if plan.seconds <= limit:
        return best
    for index, one in enumerate(plan.works):
        for drop in () if one.in_turn else one.drops:
            set_left = SetLeft(drop.work_s, one.sets[-1].rest_s)
            works = (*plan.works[:index], replace(one, sets=(set_left,), drops=()), *plan.works[index + 1 :])
            pairs = tuple(pair for pair in plan.pairs if one.key not in pair)
            tried = _fewer(replace(plan, works=works, pairs=pairs, drops=(one.key, drop)), limit, plan.works)
            if tried.seconds <= limit and _kept_shares(plan.works, tried) > _kept_shares(plan.works, best):
                best = tried
    return best


def _fewer(plan: _Plan, limit: float, whole: tuple[WorkLeft, ...]) -> _Plan:
    while plan.seconds > limit:
        left = [i for i, one in enumerate(plan.works) if one.sets]
        several = [i for i in left if len(plan.works[i].sets) + plan.works[i].done > 1] or left
        if len(left) == 1 and len(plan.works[left[0]].sets) == 1:
            break
        tried = [(_kept_shares(whole, less), i, less) for i in several for less in [_one_less(plan, i)]]
        plan = max(tried, key=lambda one: one[:2])[2]
    return plan


def _one_less(plan: _Plan, index: int) -> _Plan:
    one = plan.works[index]
    works = (*plan.works[:index], replace(one, sets=one.sets[:-1], drops=()), *plan.works[index + 1 :])
    gone = plan.drops is not None and plan.drops[0] == one.key
    return replace(plan, works=works, drops=None if gone else plan.drops)


def _kept_shares(before: tuple[WorkLeft, ...], after: _Plan) -> list[float]:
    return [kept / planned for _, planned, kept in _muscles(before, after)]


def _muscles(before: tuple[WorkLeft, ...], after: _Plan) -> tuple[tuple[str, float, float], ...]:
    planned, kept = _counted(before, None), _counted(after.works, after.drops)
    rows = [(code, sets, kept.get(code, 0.0)) for code, sets in planned.items() if sets]
    return tuple(sorted(rows, key=lambda row: (row[2] / row[1], row[0])))


def _counted(works: Sequence[WorkLeft], drops: tuple[Key, InDrops] | None) -> dict[str, float]:
    found: dict[str, float] = {}
    for one in works:
        left = drops[1].counts if drops is not None and drops[0] == one.key else len(one.sets)
        for code, share in one.muscles:
            found[code] = found.get(code, 0.0) + share * (left + one.done)
    return found
