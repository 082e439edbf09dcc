"""Which sets of a file are here already: a set is the same by client, day, session, exercise, number, side and step.

A session of the file is the one that an earlier file made under the same client, day and session name, also when it was
moved to another day since; else, on a day with one session on the desk, that one; else the one that an export calls so;
else the one whose sheet has this title; else a new one. Where an exercise comes twice in a session, its place tells
which. A set that was corrected on the desk since an earlier file brought it stays as corrected when the same file is
read again.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple
from uuid import UUID, uuid5

from coachdesk.practice.models import Change
from coachdesk.practice.rows import parts
from coachdesk.practice.text import fold
from programs.logs.intake.plan import Line, Plan, clients_of
from programs.logs.models import SessionLog, SetLog
from programs.logs.names import MOST_NAME, day_names

SPACE = UUID("6f7b9a1e-54f0-4c8e-9d0a-3d1c4b7f2a60")
Visit = tuple[int, date, str]
Key = tuple[int, int, str, int]
COMPARED = ("load", "unit", "setting", "reps", "rir")


class Here(NamedTuple):
    """A session on the desk."""

    pk: int
    title: str


def session_key(visit: Visit) -> UUID:
    """The key of a session that a file brings: the same client, day and session name always get the same."""
    client, on, name = visit
    return uuid5(SPACE, f"{client} {on.isoformat()} {name}")


def set_key(session: UUID, line: Line) -> UUID:
    """The key of a set within its session, whatever its place in the file."""
    exercise, set_no, side, step_no = line.key
    more = f" {step_no} {line.numbers.exercise_no}" if step_no > 1 or line.numbers.exercise_no else ""
    return uuid5(session, f"{exercise} {set_no} {side}{more}")


def settle(plan: Plan) -> dict[Visit, int]:
    """Mark every line as new, changed or same. Gives the id of the session on the desk by visit, where there is one.

    Call it again under the clients' locks: somebody may have logged meanwhile.
    """
    visits = _visits(plan.lines)
    sets = _sets(visits.values())
    alike = Counter((line.visit, line.key) for line in plan.lines)
    for line in plan.lines:
        there = sets.get((visits[line.visit], line.key), []) if line.visit in visits else []
        row = _same_set(line, there, alone=alike[line.visit, line.key] == 1)
        line.row = row.pk if row else None
        line.state = "new" if row is None else "same" if _values(line) == _stored(row) else "changed"
    _leave_corrected(plan.lines)
    return visits


def _visits(lines: Sequence[Line]) -> dict[Visit, int]:
    wanted = {line.visit for line in lines}
    days = [line.done_on for line in lines]
    if not days:
        return {}
    own = _own(wanted)
    taken = set(own.values())
    here: dict[tuple[int, date], list[Here]] = {}
    for ids in parts(sorted(clients_of(lines))):
        logs = SessionLog.objects.filter(client__in=ids, status="done", done_on__range=(min(days), max(days)))
        for pk, client, on, name, title in logs.order_by("id").values_list(
            "pk", "client_id", "done_on", "name", "sheet__body__title"
        ):
            if pk not in taken:
                here.setdefault((client, on), []).append(Here(pk, (name or title or "")[:MOST_NAME]))
    found = {visit: _match(visit, here.get(visit[:2], [])) for visit in wanted - own.keys()}
    return own | {visit: pk for visit, pk in found.items() if pk is not None}


def _own(visits: Iterable[Visit]) -> dict[Visit, int]:
    """Sessions that an earlier file made of these visits, whatever day the desk has them on now."""
    keys = {session_key(visit): visit for visit in visits}
    found: dict[Visit, int] = {}
    # Client by client, so that each query names few of them: the index has the client first.
    for some in parts(sorted(keys, key=lambda key: keys[key])):
        rows = SessionLog.objects.filter(client__in={keys[key][0] for key in some}, key__in=some)
        mine = rows.values_list("key", "client_id", "pk")
        found |= {keys[key]: pk for key, client, pk in mine if keys[key][0] == client}
    return found


def _match(visit: Visit, there: Sequence[Here]) -> int | None:
    names = day_names([one.title for one in there])
    named = [one.pk for one, name in zip(there, names, strict=True) if visit[2] and fold(name) == visit[2]]
    titled = [one.pk for one in there if visit[2] and fold(one.title) == visit[2]]
    only = [one.pk for one in there] if not visit[2] and len(there) == 1 else []
    return next(iter((*named, *titled, *only)), None)


def _sets(sessions: Iterable[int]) -> dict[tuple[int, Key], list[SetLog]]:
    found: dict[tuple[int, Key], list[SetLog]] = {}
    for ids in parts(sorted(set(sessions))):
        for row in SetLog.objects.filter(session_log__in=ids).order_by("position", "id"):
            key = (row.exercise_id, row.set_no, row.side, row.step_no)
            found.setdefault((row.session_log_id, key), []).append(row)
    return found


def _same_set(line: Line, there: Sequence[SetLog], *, alone: bool) -> SetLog | None:
    """Of the sets on the desk with a line's key the one at its place, or the only one there is."""
    place = line.numbers.exercise_no
    at_it = next((row for row in there if row.position == place), None)
    only = not place or (alone and len(there) == 1)
    return at_it or (there[0] if there and only else None)


def _values(line: Line) -> tuple[object, ...]:
    one = line.numbers
    return (one.load, one.unit, one.setting, one.reps, one.rir)


def _stored(row: SetLog) -> tuple[object, ...]:
    # Without a load the unit says nothing.
    return tuple(getattr(row, name) for name in COMPARED)


def _leave_corrected(lines: Sequence[Line]) -> None:
    """A line that says what the row said before somebody corrected it says nothing new."""
    changed = {line.row: line for line in lines if line.state == "changed" and line.row is not None}
    for ids in parts(list(changed)):
        first: dict[int, Change] = {}
        for change in Change.objects.filter(model="logs.setlog", row__in=ids).order_by("id"):
            first.setdefault(change.row, change)
        for pk, change in first.items():
            was = change.before if change.before is not None else change.after
            if was and tuple(was[name] for name in COMPARED) == _values(changed[pk]):
                changed[pk].state = "same"
