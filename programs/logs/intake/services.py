"""Doing what a plan says: the sets in one act, all or nothing; what follows from them piece by piece behind it.

The sets themselves are a few seconds of inserting even at 20,000 rows. Sums, evidence and estimates take far longer, so
they are worked out client by client in transactions of their own (work.py), and the import says how far it is: they
are derived from the rows, so a desk that stops half-way has lost nothing and goes on.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from django.core.exceptions import ValidationError
from django.db.models import Q

from clients.models import Client
from clients.records.services import name_words, names_ever, with_erasure
from coachdesk.practice.models import Act, Change, Membership
from coachdesk.practice.rows import parts, put_back
from coachdesk.practice.tape import Tape, UndoConflict, undoer, write
from coachdesk.practice.text import fold
from programs.logs.intake.order import Order
from programs.logs.intake.plan import Line, Plan, clients_of
from programs.logs.intake.sessions import COMPARED, Visit, session_key, set_key, settle
from programs.logs.intake.work import begin_later, pieces_by_client, pieces_of
from programs.logs.mapping import DoneStep, missed
from programs.logs.models import LogImport, SessionLog, SetLog
from programs.logs.services.plan_gaps import note_plan_gaps
from programs.logs.services.rows import set_row
from programs.mapping import body_load
from programs.models import PainReport, StrengthObservation

KIND = "csvlogs"
# Shorter words of a name say little and stand in many file names.
LEAST_WORD = 3


class Moved(Exception):
    """The desk changed since the plan was shown; nothing was written."""


def import_logs(
    *, by: Membership, plan: Plan, digest: str, now: datetime, source: str = "", skip_bad: bool = False,
    columns: Mapping[str, str] | None = None,
) -> LogImport:  # fmt: skip
    """Write the new and the changed sets of a plan as one act; what follows is left in `waiting`.

    Raises ValidationError while rows are bad (unless they are to be skipped) or a question is open, Moved when the
    plan under the clients' locks is not the one with this digest any more.
    """
    _check(plan, skip_bad)
    row = LogImport(
        practice=by.practice, by=by, source=source, columns=dict(columns or {}), words=plan.matched, at=now,
        beat_at=now,
    )  # fmt: skip
    changing = [line for line in plan.lines if line.state != "same"]
    counts = plan.counts
    # Thousands of rows are made and checked before anybody is kept waiting; under the locks they are only put in.
    made = _new_sessions(plan, settle(plan), now)
    inside = _sets_inside(plan, made)
    label = f"Import {counts['new']} new and {counts['changed']} changed sets from {source or 'a CSV file'}"
    with write(label, by=by, subject=f"{KIND}:{row.key.hex}", source="csv", at=now) as tape:
        tape.lock_all(clients_of(plan.lines).values())
        visits = settle(plan)
        if plan.digest != digest or visits.keys() & made.keys():
            raise Moved
        tape.create_all(made.values())
        SetLog.objects.bulk_create(inside, batch_size=1000)
        _add_sets(tape, plan, visits)
        _change_sets(tape, [line for line in plan.lines if line.state == "changed"])
        row.waiting = pieces_of(changing)
        row.total = len(row.waiting)
        row.counts = counts | {"clients": len(clients_of(changing)), "sessions": len(made)}
        row.act = tape.act if changing else None
        row.full_clean(exclude=["act"])
        row.save(force_insert=True)
        begin_later(row)
    return row


def _check(plan: Plan, skip_bad: bool) -> None:
    if plan.open_questions:
        raise ValidationError("A question is still open; answer it, then read the file in.")
    if plan.errors and not skip_bad:
        raise ValidationError(f"{plan.counts['bad']} rows cannot be read; nothing was done.")


def _new_sessions(plan: Plan, visits: Mapping[Visit, int], now: datetime) -> dict[Visit, SessionLog]:
    rows: dict[Visit, SessionLog] = {}
    for line in plan.lines:
        if line.visit not in visits and line.visit not in rows:
            rows[line.visit] = SessionLog(
                client=line.client, key=session_key(line.visit), done_on=line.done_on, logged_at=now,
                time_zone=line.client.time_zone, usual_place_id=line.client.place_id, **plan.heads.get(line.visit, {}),
            )  # fmt: skip
    return rows


def _sets_inside(plan: Plan, made: Mapping[Visit, SessionLog]) -> list[SetLog]:
    """The sets of new sessions, checked and unsaved; they come with their root."""
    orders: dict[Visit, Order] = {}
    rows = [
        _row(made[line.visit], line, orders.setdefault(line.visit, Order()))
        for line in plan.lines
        if line.visit in made
    ]
    for row in rows:
        row.clean_fields(exclude=["session_log", "client", "exercise"])
    return rows


def _row(session: SessionLog, line: Line, order: Order) -> SetLog:
    place = order.place(line.exercise.pk, line.numbers.exercise_no)
    return set_row(session, _step(line, place), set_key(session.key, line))


def _add_sets(tape: Tape, plan: Plan, visits: Mapping[Visit, int]) -> None:
    """Sets added to sessions that were here are recorded one by one."""
    new = [line for line in plan.lines if line.state == "new" and line.visit in visits]
    ids = sorted({visits[line.visit] for line in new})
    there = {pk: row for some in parts(ids) for pk, row in _sessions(some).items()}
    orders: dict[int, Order] = {}
    rows = []
    for line in new:
        session = there[visits[line.visit]]
        if session.pk not in orders:
            orders[session.pk] = Order(session.sets.values_list("exercise_id", "position"))
        rows.append(_row(session, line, orders[session.pk]))
    tape.create_all(rows)
    note_plan_gaps(tape, there.values(), tape.act.at)


def _sessions(ids: Sequence[int]) -> dict[int, SessionLog]:
    return {row.pk: row for row in SessionLog.objects.filter(pk__in=ids).select_related("client", "sheet")}


def _step(line: Line, position: int) -> DoneStep:
    one = line.numbers
    return DoneStep(
        exercise=line.exercise.pk, position=position, set_no=line.set_no, step_no=one.step_no, side=one.side,
        rep_kind=line.exercise.rep_kind, unit=one.unit, load=one.load, reps=one.reps, rir=one.rir,
        failed=one.rir == 0 if one.failed is None else one.failed, setting=one.setting,
        body_load=body_load(line.exercise, line.client.body_kg, one.unit),
    )  # fmt: skip


def _change_sets(tape: Tape, lines: Sequence[Line]) -> None:
    rows = tape.lock_all(SetLog(pk=line.row) for line in lines)
    for row, line in zip(rows, lines, strict=True):
        for name in COMPARED:
            setattr(row, name, getattr(line.numbers, name))
        row.as_written = False
        row.failed = missed(
            load=row.load, reps=row.reps, rir=row.rir, planned_load=row.planned_load, planned_reps=row.planned_reps,
            planned_rir=row.planned_rir,
        )  # fmt: skip
    tape.save_all(rows)


def take_back(act: Act, by: Membership) -> Act:
    """Undo an import: its sessions go with their sets, changed sets stand as before. Raises UndoConflict."""
    if act.kind != Act.Kind.EDIT:
        raise UndoConflict("An import that was taken back is not brought back; read the file in again.")
    with write(f"Undo: {act.label}", by=by, subject=act.subject, kind=Act.Kind.UNDO, undoes=act) as tape:
        if Act.objects.select_for_update().get(pk=act.pk).is_undone:
            raise UndoConflict(f"'{act.label}' has been undone already.")
        sessions = list(SessionLog.objects.select_for_update().filter(pk__in=_made(act, SessionLog)).order_by("id"))
        _refuse_used(act, sessions)
        days = _days_of(act, sessions)
        _put_sets_back(tape, act)
        tape.forget_all(sessions)
        _delete(sessions)
        Act.objects.filter(pk=act.pk).update(is_undone=True)
        row = LogImport.objects.select_for_update().filter(act=act).first()
        if row is not None:
            row.waiting = pieces_by_client(days)
            row.total, row.beat_at = len(row.waiting), tape.act.at
            row.save(update_fields=["waiting", "total", "beat_at"])
            begin_later(row)
    return tape.act


def _made(act: Act, model: type[SessionLog] | type[SetLog]) -> list[int]:
    rows = act.changes.filter(model=model._meta.label_lower, before__isnull=True)
    return list(rows.values_list("row", flat=True))


def _refuse_used(act: Act, sessions: Sequence[SessionLog]) -> None:
    """Sessions that somebody corrected, completed or wrote pain of since stay, and with them the whole import."""
    used = {row.pk for row in sessions if row.version > 1}
    for ids in parts([row.pk for row in sessions]):
        used |= set(SetLog.objects.filter(session_log__in=ids, version__gt=1).values_list("session_log", flat=True))
        sets = list(SetLog.objects.filter(session_log__in=ids).values_list("pk", "session_log"))
        later = Change.objects.filter(model="logs.setlog", act__gt=act.pk, row__in=[pk for pk, _ in sets])
        touched = set(later.values_list("row", flat=True))
        used |= {session for pk, session in sets if pk in touched}
        keys = {row.key: row.pk for row in sessions if row.pk in set(ids)}
        hurt = PainReport.objects.filter(client__in={row.client_id for row in sessions}, source_uid__in=keys)
        used |= {keys[key] for key in hurt.values_list("source_uid", flat=True)}
    if used:
        were = "session was" if len(used) == 1 else "sessions were"
        raise UndoConflict(f"{len(used)} {were} changed since '{act.label}': undo that first.")


def _days_of(act: Act, sessions: Sequence[SessionLog]) -> dict[int, set[date]]:
    days: dict[int, set[date]] = {}
    for row in sessions:
        days.setdefault(row.client_id, set()).add(row.done_on)
    for change in act.changes.filter(model="logs.setlog"):
        values = change.after or change.before or {}
        days.setdefault(values["client_id"], set()).add(date.fromisoformat(values["done_on"]))
    return days


def _put_sets_back(tape: Tape, act: Act) -> None:
    """Sets added to sessions that were here go, changed ones stand as before; UndoConflict when one moved since."""
    changes = {change.row: change for change in act.changes.filter(model="logs.setlog")}
    found = list(SetLog.objects.filter(pk__in=changes).order_by("id"))
    rows = tape.lock_all(found)
    added = [row for row in rows if changes[row.pk].before is None]
    changed = [row for row in rows if changes[row.pk].before is not None]
    good = all(put_back(row, changes[row.pk].before or {}, changes[row.pk].after or {}) for row in changed)
    if not good or len(found) < len(changes) or any(row.version > 1 for row in added):
        raise UndoConflict(f"A set was changed again since '{act.label}': undo that first.")
    tape.save_all(changed)
    tape.forget_all(added)
    for ids in parts([row.pk for row in added]):
        SetLog.objects.filter(pk__in=ids).delete()


def _delete(sessions: Sequence[SessionLog]) -> None:
    """Row by row it would be minutes; nothing else hangs on these, or they would have been kept."""
    for some in parts(list(sessions)):
        ids, keys = [row.pk for row in some], [row.key for row in some]
        for rows in (
            StrengthObservation.objects.filter(client__in={row.client_id for row in some}, source_uid__in=keys),
            SetLog.objects.filter(session_log__in=ids),
            SessionLog.objects.filter(pk__in=ids),
        ):
            rows._raw_delete(rows.db)


def leave_imports(client: Client) -> None:
    """Take an erased client out of what is left to work out, and off the names of files that tell of them."""
    words = {word for name in names_ever(client) for word in name_words(fold(name)) if len(word) >= LEAST_WORD}
    for row in LogImport.objects.select_for_update().filter(practice=client.practice_id).order_by("id"):
        waiting = [piece for piece in row.waiting if piece[0] != client.pk]
        forgotten = bool(row.source) and (any(word in fold(row.source) for word in words) or _is_alone(row, client))
        if waiting != row.waiting or forgotten:
            if forgotten:
                _forget_file(row)
            row.waiting = waiting
            row.save(update_fields=["waiting", "source"])


def _is_alone(row: LogImport, client: Client) -> bool:
    """Whether the file held sets of this client and of nobody else."""
    if row.act_id is None or row.counts.get("clients") != 1:
        return False
    mine = Q(after__client_id=client.pk) | Q(before__client_id=client.pk)
    return Change.objects.filter(mine, act=row.act_id, model__startswith="logs.").exists()


def _forget_file(row: LogImport) -> None:
    """The file's name goes, from the acts that say it too: the import's own and its undo's."""
    acts = Act.objects.filter(Q(pk=row.act_id) | Q(undoes=row.act_id), label__contains=row.source)
    for act in acts if row.act_id else ():
        Act.objects.filter(pk=act.pk).update(label=act.label.replace(row.source, "a CSV file")[:200])
    row.source = ""


undoer(KIND, take_back)
with_erasure(leave_imports)
