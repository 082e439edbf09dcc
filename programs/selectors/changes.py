"""What an act changed in the numbers of a programme, in one line: from two snapshots of its view."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from coachdesk import engine
from programs.selectors.prescription import ProgramView, SessionView

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MOST_NAMED = 3
K = TypeVar("K", bound=tuple[int, ...] | tuple[int, str])
UNCHANGED = "Sets, minutes, loads and flags stay as they were."


@dataclass(frozen=True)
class Snapshot:
    """The numbers of a programme that an act may move.

    `sets` by (week, muscle code), `minutes` by (week, day, session id), `loads` in words by planned exercise with its
    name (the opened session only), `flags`: code and place of the open ones, so that one whose numbers move stays the
    same. Of a very long programme only `weeks` are worked out; what is not in both snapshots' weeks is not compared.
    """

    weeks: frozenset[int] = frozenset()
    sets: Mapping[tuple[int, str], float] = field(default_factory=dict)
    minutes: Mapping[tuple[int, int, int], int] = field(default_factory=dict)
    loads: Mapping[int, tuple[str, str]] = field(default_factory=dict)
    flags: frozenset[tuple[object, ...]] = frozenset()


def snapshot(view: ProgramView, opened: SessionView | None) -> Snapshot:
    """The numbers of a programme as they stand."""
    weeks = [w for w in view.weeks if all(s.is_worked_out for day in w.days for s in day)]
    sessions = [s for week in weeks for day in week.days for s in day]
    return Snapshot(
        weeks=frozenset(w.week_no for w in weeks),
        sets={(w.week_no, code): one.fractional for w in weeks if w.totals for code, one in w.totals.muscles},
        minutes={(s.row.week_no, s.row.day, s.row.pk): s.whole_minutes for s in sessions},
        loads={e.row.pk: (e.row.exercise.name, e.loads) for e in (opened.exercises if opened else ())},
        flags=frozenset(_flag_key(flag) for flag in view.open_flags()),
    )


def _flag_key(flag: engine.Flag) -> tuple[object, ...]:
    where = flag.where
    return (flag.code, where.week_no, where.session_key, where.exercise_key, where.muscle)


def changes(before: Snapshot, after: Snapshot) -> str:
    """'Chest, week 4: 12 to 14 sets; Mon week 4: 62 to 68 min; Bench press: 80 to 82.5 kg; 1 flag gone.'"""
    parts = [*_sets(before, after), *_minutes(before, after), *_loads(before, after), *_flags(before, after)]
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}." if parts else UNCHANGED


def _compared(one: Mapping[K, float], weeks: frozenset[int]) -> dict[K, float]:
    return {key: value for key, value in one.items() if key[0] in weeks}


def _moved(before: Mapping[K, float], after: Mapping[K, float]) -> list[tuple[K, float, float]]:
    """(key, before, after) of what differs, 0 where there was or is nothing; the largest change first."""
    keys = [key for key in {**before, **after} if abs(before.get(key, 0) - after.get(key, 0)) > 1e-6]
    found = [(key, before.get(key, 0), after.get(key, 0)) for key in keys]
    return sorted(found, key=lambda one: -abs(one[2] - one[1]))


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _sets(before: Snapshot, after: Snapshot) -> Iterable[str]:
    """Muscle by muscle in the first week that changed, further weeks counted."""
    weeks_of_both = before.weeks & after.weeks
    moved = _moved(_compared(before.sets, weeks_of_both), _compared(after.sets, weeks_of_both))
    first = min((week for (week, _), _, _ in moved), default=0)
    here = [one for one in moved if one[0][0] == first]
    for (week, code), was, now in here[:MOST_NAMED]:
        yield f"{engine.muscle(code).name.lower()}, week {week}: {_number(was)} to {_number(now)} sets"
    if len(here) > MOST_NAMED:
        yield f"{len(here) - MOST_NAMED} more muscles there"
    weeks = len({week for (week, _), _, _ in moved}) - 1
    if weeks > 0:
        yield f"{weeks} more week{'s' if weeks > 1 else ''} changed"


def _minutes(before: Snapshot, after: Snapshot) -> Iterable[str]:
    weeks = before.weeks & after.weeks
    moved = _moved(_compared(before.minutes, weeks), _compared(after.minutes, weeks))
    for key, was, now in moved[:MOST_NAMED]:
        name = f"{DAYS[key[1]]}, week {key[0]}"
        if key not in before.minutes or key not in after.minutes:
            yield f"{name}: {int(was or now)} min {'gone' if key in before.minutes else 'new'}"
        else:
            yield f"{name}: {int(was)} to {int(now)} min"
    if len(moved) > MOST_NAMED:
        yield f"{len(moved) - MOST_NAMED} more sessions"


def _loads(before: Snapshot, after: Snapshot) -> Iterable[str]:
    both = [pk for pk in after.loads if pk in before.loads and before.loads[pk][1] != after.loads[pk][1]]
    for pk in both[:MOST_NAMED]:
        (_, was), (name, now) = before.loads[pk], after.loads[pk]
        unit = now.rpartition(" ")[2]
        short = was.removesuffix(f" {unit}") if was.endswith(f" {unit}") else was
        yield f"{name}: {short or 'no load'} to {now or 'no load'}"
    if len(both) > MOST_NAMED:
        yield f"{len(both) - MOST_NAMED} more loads"


def _flags(before: Snapshot, after: Snapshot) -> Iterable[str]:
    if before.weeks != after.weeks:
        return
    for count, word in ((len(before.flags - after.flags), "gone"), (len(after.flags - before.flags), "new")):
        if count:
            yield f"{count} flag{'s' if count > 1 else ''} {word}"
