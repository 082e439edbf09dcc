"""What an absence or a missed session would change, session by session, before anything is written."""

import hashlib
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from clients.mapping import house_rules, place_equipment
from clients.models import Client, Place
from coachdesk import engine
from coachdesk.practice.text import fold
from programs.calendar.days import WEEK, Plan, day_words, listed, plans_of
from programs.models import PlannedExercise, PlannedSession
from programs.models.program import MOST_WEEKS
from programs.selectors import weeks_of
from programs.services.sessions import MOST_A_DAY

Json = dict[str, Any]
# Folding a session into the next one adds to an exercise at most half as many sets again; common practice, no source.
FOLD_SHARE = 0.5


@dataclass(frozen=True)
class Change:
    """One session that will change: where it stands now, and what happens to it.

    `to`: its new day. `schemes`: (planned exercise, scheme as JSON) that change. `added`: planned exercises of
    another session that are copied to its end. `place`: its new place. `removed`: it is taken out.
    """

    session: PlannedSession
    on: date
    words: str
    to: date | None = None
    schemes: tuple[tuple[PlannedExercise, Json], ...] = ()
    added: tuple[PlannedExercise, ...] = ()
    place: Place | None = None
    removed: bool = False

    @property
    def key(self) -> tuple[object, ...]:
        """Everything that decides what would be written."""
        schemes = tuple((row.pk, row.version, repr(value)) for row, value in self.schemes)
        added = tuple((row.pk, row.version) for row in self.added)
        place = self.place.pk if self.place else None
        return (self.session.pk, self.session.version, self.on, self.to, schemes, added, place, self.removed)


@dataclass(frozen=True)
class Longer:
    """A programme that grows by `weeks` from the block that holds week `from_week` on, or starts so much later."""

    plan: Plan
    weeks: int
    from_week: int
    whole: bool


@dataclass(frozen=True)
class Preview:
    """Every session that would change, programmes that grow, and what stands against it."""

    changes: tuple[Change, ...]
    longer: tuple[Longer, ...] = ()
    problem: str = ""

    @property
    def digest(self) -> str:
        """Alike only while exactly the same would be written."""
        grown = tuple((one.plan.program.pk, one.plan.program.version, one.weeks, one.whole) for one in self.longer)
        return hashlib.sha256(repr((tuple(c.key for c in self.changes), grown)).encode()).hexdigest()

    @property
    def programs(self) -> set[int]:
        """The programmes that are touched."""
        return {c.session.block.program_id for c in self.changes} | {one.plan.program.pk for one in self.longer}


def sessions_inside(plans: Iterable[Plan], first: date, last: date) -> list[tuple[Plan, PlannedSession]]:
    """Sessions planned from `first` to `last`, both included, of which nothing is logged."""
    return [
        (plan, row)
        for plan in plans
        for row in plan.sessions
        if first <= plan.on(row) <= last and row.pk not in plan.logged
    ]


def absence_preview(client: Client, *, first: date, last: date, how: str, place: Place | None = None) -> Preview:
    """What becomes of the sessions inside an absence: 'keep', 'shift', 'drop', 'lighten' or 'elsewhere'."""
    plans = plans_of(client, exercises=True)
    inside = sessions_inside(plans, first, last)
    if how == "shift":
        return _shifted(plans, inside, first, last)
    if how == "drop":
        return Preview(tuple(Change(row, plan.on(row), "is taken out", removed=True) for plan, row in inside))
    if how == "lighten":
        rules = house_rules(client)
        return _only_changes(_lightened(plan, row, rules) for plan, row in inside)
    if how == "elsewhere":
        if place is None:
            return Preview((), problem="Choose the place to train at.")
        kit = set(place_equipment(place))
        return _only_changes(_elsewhere(plan, row, client, place, kit) for plan, row in inside)
    return Preview(())


def _only_changes(found: Iterable[Change | None]) -> Preview:
    return Preview(tuple(one for one in found if one is not None))


def _shifted(plans: Sequence[Plan], inside: Sequence[tuple[Plan, PlannedSession]], first: date, last: date) -> Preview:
    """Everything from the first session inside on moves by the fewest whole weeks that clear the absence."""
    if not inside:
        return Preview(())
    start = min(plan.on(row) for plan, row in inside)
    weeks = -(-((last - start).days + 1) // WEEK)
    changes, longer = [], []
    for plan in plans:
        later = [row for row in plan.sessions if plan.on(row) >= start and row.pk not in plan.logged]
        if not later:
            continue
        if plan.start_on >= first and not plan.logged:
            longer.append(Longer(plan, weeks, 1, whole=True))
        else:
            longer.append(Longer(plan, weeks, min(row.week_no for row in later), whole=False))
            if weeks_of(plan.blocks) + weeks > MOST_WEEKS:
                most = (
                    f"{plan.program.name} would have {weeks_of(plan.blocks) + weeks} weeks; {MOST_WEEKS} is the most."
                )
                return Preview((), problem=most)
        changes += [_moved(plan, row, plan.on(row) + timedelta(weeks=weeks)) for row in later]
    return Preview(tuple(sorted(changes, key=lambda c: (c.on, c.session.position))), tuple(longer))


def _moved(plan: Plan, row: PlannedSession, to: date) -> Change:
    return Change(row, plan.on(row), f"moves to {day_words(to)}", to=to)


def _rows(session: PlannedSession) -> list[PlannedExercise]:
    return sorted(session.exercises.all(), key=lambda one: (one.position, one.pk))


def _sets(row: PlannedExercise) -> int:
    return engine.set_count(engine.scheme_from_json(row.scheme))


def _with_sets(row: PlannedExercise, sets: int) -> Json:
    return engine.scheme_to_json(engine.with_sets(engine.scheme_from_json(row.scheme), sets))


def _resized(
    session: PlannedSession, wanted: Callable[[PlannedExercise], int]
) -> list[tuple[PlannedExercise, int, int]]:
    """(row, sets now, sets then) of the exercises whose number of sets changes."""
    found = [(row, _sets(row), wanted(row)) for row in _rows(session)]
    return [(row, now, then) for row, now, then in found if then != now]


def _lightened(plan: Plan, session: PlannedSession, rules: engine.Rules) -> Change | None:
    found = _resized(session, lambda row: engine.lighter_week(_sets(row), rules))
    if not found:
        return None
    total = sum(_sets(row) for row in _rows(session))
    fewer = sum(now - then for _, now, then in found)
    words = f"{total} sets become {total - fewer}: {listed(_set_words(*one) for one in found)}"
    return Change(session, plan.on(session), words, schemes=tuple((row, _with_sets(row, n)) for row, _, n in found))


def _set_words(row: PlannedExercise, now: int, then: int) -> str:
    return f"{row.exercise.name} {now} to {then}"


def _elsewhere(plan: Plan, row: PlannedSession, client: Client, place: Place, kit: set[str]) -> Change | None:
    now = row.place or client.place
    if row.place_id == place.pk:
        return None
    missing = [
        one.exercise.name
        for one in _rows(row)
        if one.exercise.equipment_kind not in kit and one.exercise.equipment_kind not in engine.ALWAYS_THERE
    ]
    words = f"{now.name if now else 'no place'} to {place.name}, loads made there"
    words += f"; nothing to load there: {listed(dict.fromkeys(missing))}" if missing else ""
    return Change(row, plan.on(row), words, place=place)


def missed_preview(
    plan: Plan, session: PlannedSession, *, how: str, today: date, to: date | None = None, into: int | None = None
) -> Preview:
    """What becomes of a session that was not done: 'move' to a day, 'drop', or 'fold' into a coming one."""
    row = next(one for one in plan.sessions if one.pk == session.pk)
    if how == "move":
        if to is None:
            return Preview((), problem="Choose the day to move it to.")
        problem = outside_words(plan, to) or full_words(plan, row, to)
        return Preview((), problem=problem) if problem else Preview((_moved(plan, row, to),))
    if how == "drop":
        return Preview((Change(row, plan.on(row), "is taken out", removed=True),))
    target = next((one for one in coming(plan, row, today) if into in (None, one.pk)), None)
    if target is None:
        return Preview((), problem="No session is coming that this one could be folded into.")
    return Preview((Change(row, plan.on(row), "is taken out", removed=True), _folded(plan, row, target)))


def outside_words(plan: Plan, on: date) -> str:
    """Why a day cannot hold a session of this programme, or ''."""
    if plan.start_on <= on <= plan.last_on:
        return ""
    first, last = (f"{day_words(one)} {one.year}" for one in (plan.start_on, plan.last_on))
    return f"{day_words(on)} {on.year} is outside {plan.program.name}, {first} to {last}; choose a day inside it."


def full_words(plan: Plan, session: PlannedSession, on: date) -> str:
    """Why a day has no room for one more session of this programme, or ''."""
    there = [row for row in plan.sessions if plan.on(row) == on and row.pk != session.pk]
    return f"{day_words(on)} has {MOST_A_DAY} sessions already; choose another day." if len(there) >= MOST_A_DAY else ""


def coming(plan: Plan, session: PlannedSession, today: date) -> list[PlannedSession]:
    """Sessions from today on that could take another one in: the same kind by name first, then by muscles shared."""
    rows = [
        row for row in plan.sessions if plan.on(row) >= today and row.pk not in plan.logged and row.pk != session.pk
    ]
    # The plan's own row has its exercises at hand.
    mine = _muscles(next((row for row in plan.sessions if row.pk == session.pk), session))
    return sorted(
        rows, key=lambda row: (fold(row.name) != fold(session.name), -len(mine & _muscles(row)), plan.on(row))
    )


def _muscles(session: PlannedSession) -> set[str]:
    return {m.muscle for row in session.exercises.all() for m in row.exercise.muscles.all() if m.share == 1000}


def _folded(plan: Plan, missed: PlannedSession, target: PlannedSession) -> Change:
    """The missed exercises joined to a coming session: more sets of what it has, the others at its end."""
    owed: dict[int, int] = {}
    for row in _rows(missed):
        owed[row.exercise_id] = owed.get(row.exercise_id, 0) + _sets(row)
    there = {row.exercise_id for row in _rows(target)}

    def wanted(row: PlannedExercise) -> int:
        now = _sets(row)
        more = min(owed.pop(row.exercise_id, 0), int(FOLD_SHARE * now))
        return max(now, min(engine.MOST_SETS, now + more))

    found = _resized(target, wanted)
    added = tuple(row for row in _rows(missed) if row.exercise_id not in there)
    words = [_set_words(*one) + " sets" for one in found]
    words += [f"{row.exercise.name} added, {_sets(row)} sets" for row in added]
    schemes = tuple((row, _with_sets(row, n)) for row, _, n in found)
    return Change(target, plan.on(target), listed(words) or "stays as it is", schemes=schemes, added=added)
