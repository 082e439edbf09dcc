"""The tape: the one way to write. An act in words, its changes field by field, in the same transaction."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar
from datetime import datetime
from typing import Any

from django.apps import apps
from django.core.exceptions import ObjectDoesNotExist, ValidationError
from django.db import IntegrityError, connection, models, transaction
from django.db.models.deletion import Collector
from django.http import Http404
from django.utils import timezone

from coachdesk.practice.followers import Touched, tell
from coachdesk.practice.models import Act, Change, Membership, Practice, Values
from coachdesk.practice.rows import (
    Row,
    built_on,
    doomed_with,
    fields_of,
    loosened_by,
    missing_target,
    parents_first,
    parts,
    put_back,
    row_from,
    runs_of,
)
from coachdesk.practice.turns import turn

_current: ContextVar["Tape | None"] = ContextVar("tape", default=None)
# What must be worked out anew after an undo touched rows of a model, told by the app that derives it.
_derived: dict[str, Callable[[list[Values]], None]] = {}
# Who may take an act back beyond having done it, told by the apps that know whose rows they are.
_guards: list[Callable[[Membership, Act], None]] = []
# How acts on a kind of subject are undone where row by row would take minutes, told by the app that does it.
_undoers: dict[str, Callable[[Act, Membership], Act]] = {}


class Gone(Http404):
    """Somebody removed the row, or what it belongs to, between looking it up and writing; nothing was changed."""


def guard(check: Callable[[Membership, Act], None]) -> None:
    """Register `check(by, act)`, which raises UndoConflict when `by` may not undo `act` any more."""
    _guards.append(check)


def derived(label: str, refresh: Callable[[list[Values]], None]) -> None:
    """Register `refresh(values of touched rows)` to run inside the transaction after an undo touched `label`."""
    _derived[label] = refresh


def undoer(kind: str, take_back: Callable[[Act, Membership], Act]) -> None:
    """Register `take_back(act, by)` as what undoes acts whose subject is 'kind:...'; it makes the undo's own act."""
    _undoers[kind] = take_back


class Tape:
    """What an act may do to rows. Made by `write`; every method records before and after."""

    def __init__(self, act: Act) -> None:
        self.act = act
        self.noted = 0
        self.touched: Touched = {}
        self._before: dict[tuple[str, Any], Values] = {}

    def lock(self, row: Row) -> Row:
        """Read the row again under a lock, and remember its values as the `before` of this act. Raises Gone."""
        model = type(row)
        fresh = model._default_manager.select_for_update().filter(pk=row.pk).first()
        if fresh is None:
            raise Gone(f"{model._meta.verbose_name} {row.pk} was removed meanwhile")
        self._before[(model._meta.label_lower, fresh.pk)] = fields_of(fresh)
        return fresh

    def lock_all(self, rows: Iterable[Row]) -> list[Row]:
        """As `lock` for many rows of one model in one query, in the order given. Raises Gone when one is missing."""
        wanted = list(rows)
        if not wanted:
            return []
        model = type(wanted[0])
        found: dict[Any, Row] = {}
        for part in parts([row.pk for row in wanted]):
            fresh = model._default_manager.select_for_update().filter(pk__in=part).order_by("pk")
            found |= {row.pk: row for row in fresh}
        for row in wanted:
            if row.pk not in found:
                raise Gone(f"{model._meta.verbose_name} {row.pk} was removed meanwhile")
            self._before[(model._meta.label_lower, row.pk)] = fields_of(found[row.pk])
        return [found[row.pk] for row in wanted]

    def save_all(self, rows: Iterable[Row]) -> int:
        """As `save` for many rows of one model got from `lock_all`, in a few queries; gives how many changed.

        Fields are checked one by one; what a new foreign key points at is not looked up: only give rows just read.
        """
        moved: list[tuple[Row, Values, Values]] = []
        names: set[str] = set()
        for row in rows:
            before, after = self._before[(row._meta.label_lower, row.pk)], fields_of(row)
            changed = {name for name in after if after[name] != before[name]}
            if not changed:
                continue
            if hasattr(row, "version"):
                row.version = before["version"] + 1
                changed.add("version")
            row.clean_fields(exclude={f.name for f in row._meta.concrete_fields if f.is_relation})
            names |= {f.name for f in row._meta.concrete_fields if f.attname in changed}
            moved.append((row, before, fields_of(row)))
        if moved:
            model = type(moved[0][0])
            model._default_manager.bulk_update([row for row, _, _ in moved], sorted(names), batch_size=100)
            self._note_all(moved)
        return len(moved)

    def _note_all(self, moved: "Sequence[tuple[models.Model, Values | None, Values | None]]") -> None:
        self.noted += len(moved)
        label = moved[0][0]._meta.label_lower
        self.touched.setdefault(label, []).extend(values for _, *both in moved for values in both if values)
        changes = [Change(act=self.act, model=label, row=a[0].pk, before=a[1], after=a[2]) for a in moved]
        Change.objects.bulk_create(changes, batch_size=100)
        self._before |= {(label, row.pk): after for row, _, after in moved if after is not None}

    def create(self, row: Row, *, record: bool = True) -> Row:
        """Insert a checked row. `record=False` for the inside of a big new aggregate: only its root is recorded."""
        row.full_clean(validate_unique=record, validate_constraints=record)
        row.save(force_insert=True)
        if record:
            self._note(row, None, fields_of(row))
        return row

    def create_all(self, rows: Iterable[Row]) -> list[Row]:
        """As `create` for many roots of one model, in a few queries.

        Fields are checked one by one; what a foreign key points at is not looked up: only give rows just read.
        """
        made = list(rows)
        if made:
            for row in made:
                row.clean_fields(exclude={f.name for f in row._meta.concrete_fields if f.is_relation})
            type(made[0])._default_manager.bulk_create(made)
            self._note_all([(row, None, fields_of(row)) for row in made])
        return made

    def save(self, row: Row) -> Row:
        """Update a row got from `lock`; raises its version by one when it has one and anything changed."""
        before = self._before[(row._meta.label_lower, row.pk)]
        if fields_of(row) == before:
            return row
        if hasattr(row, "version"):
            row.version = before["version"] + 1
        row.full_clean()
        row.save(force_update=True)
        after = fields_of(row)
        self._note(row, before, after)
        self._before[(row._meta.label_lower, row.pk)] = after
        return row

    def delete(self, row: models.Model) -> None:
        """Delete a row and what hangs on it; every deleted row is recorded, so that undo brings all back.

        Raises Gone for one deleted already: a second press must not record a second deletion.
        """
        # As it stands now, not as the caller read it: what undo brings back must be the latest.
        self._remove(*doomed_with(self.lock(row)))

    def forget_all(self, rows: Iterable[models.Model]) -> None:
        """Record that these roots of one model go; the caller deletes them and what hangs on them."""
        gone = list(rows)
        if gone:
            self._note_all([(row, fields_of(row), None) for row in gone])

    def note_erased(self, model: type[models.Model], pk: int) -> None:
        """Record that a row went for good: that it did, and no value of it."""
        self.noted += 1
        Change.objects.create(act=self.act, model=model._meta.label_lower, row=pk, before=None, after=None)

    def _remove(self, collector: Collector, doomed: list[models.Model]) -> None:
        # Links that the delete will null are noted first, so that undo, going backwards, mends them last.
        for one, column in loosened_by(collector):
            self._note(one, fields_of(one), {**fields_of(one), column: None})
        order = {model: n for n, model in enumerate(parents_first({type(one) for one in doomed}))}
        for one in sorted(doomed, key=lambda one: -order[type(one)]):
            self._note(one, fields_of(one), None)
        collector.delete()

    def _note(self, row: models.Model, before: Values | None, after: Values | None) -> None:
        pk = (after or before or {})[row._meta.pk.attname]
        self.noted += 1
        self.touched.setdefault(row._meta.label_lower, []).extend(values for values in (before, after) if values)
        Change.objects.create(act=self.act, model=row._meta.label_lower, row=pk, before=before, after=after)


@contextmanager
def write(
    label: str,
    *,
    by: Membership | None = None,
    practice: Practice | None = None,
    subject: str = "",
    source: str = "coach",
    at: datetime | None = None,
    kind: str = Act.Kind.EDIT,
    undoes: Act | None = None,
) -> Iterator[Tape]:
    """Open the tape for one act; inside another act, join it. All or nothing.

    `by` is who acts (None: the desk itself, then `practice` must be given). Raises Gone when what a new row
    belongs to was removed meanwhile, DeskBusy when its turn does not come.
    """
    joined = _current.get()
    if joined is not None:
        yield joined
        return
    home = practice or (by.practice if by else None)
    if home is None:
        raise ValueError("write() needs `by` or `practice`: every act belongs to a practice")
    with _alone():
        act = Act(
            practice=home, actor=by, label=label[:200], subject=subject, source=source, kind=kind, undoes=undoes,
            at=at or timezone.now(),
        )  # fmt: skip
        act.full_clean(validate_unique=False, validate_constraints=False)
        act.save(force_insert=True)
        with _open(Tape(act)) as tape:
            yield tape
        if not tape.noted and kind == Act.Kind.EDIT:
            # Nothing changed: an act without changes would be an undo that does nothing.
            act.delete()


@contextmanager
def more_of(act: Act) -> Iterator[Tape]:
    """Go on with an act begun earlier, in a transaction of its own: for work too long to keep others waiting.

    Raises UndoConflict when it has been undone meanwhile. Not for use inside another act.
    """
    with _alone():
        there = Act.objects.select_for_update().filter(pk=act.pk).first()
        if there is None or there.is_undone:
            raise UndoConflict(f"'{act.label}' has been undone.")
        with _open(Tape(there)) as tape:
            yield tape


@contextmanager
def _alone() -> Iterator[None]:
    with _orphans_are_gone(), turn() if connection.vendor == "sqlite" else nullcontext(), transaction.atomic():
        yield


@contextmanager
def _open(tape: Tape) -> Iterator[Tape]:
    token = _current.set(tape)
    try:
        yield tape
        tell(tape.act.practice_id, tape.touched)
    finally:
        _current.reset(token)


@contextmanager
def _orphans_are_gone() -> Iterator[None]:
    """Databases find a row without its parent only at commit, past every check a service could make."""
    try:
        yield
    except IntegrityError as problem:
        if "foreign key" in str(problem).lower():
            raise Gone("What this belongs to was removed meanwhile") from problem
        raise


class UndoConflict(Exception):
    """Something changed since; undoing would overwrite it. Says what, in words."""


def undo_stack(practice: Practice, subject: str) -> models.QuerySet[Act]:
    """The acts of this subject that are still in force, newest first: what undo takes back, one after the other."""
    acts = Act.objects.filter(practice=practice, subject=subject, kind=Act.Kind.EDIT, is_undone=False)
    return acts.select_related("actor__user").order_by("-id")


def next_undo(practice: Practice, subject: str) -> Act | None:
    """The latest act of this subject that is still in force, or None."""
    return undo_stack(practice, subject).first()


def undo_back_to(act: Act, *, by: Membership) -> list[Act]:
    """Take back `act` and everything of its subject that was done after it, newest first; gives the undos.

    Raises UndoConflict at the first that cannot be taken back; those before it stay undone.
    """
    later = undo_stack(act.practice, act.subject).filter(pk__gte=act.pk)
    return [undo(one, by=by) for one in later]


def next_redo(practice: Practice, subject: str) -> Act | None:
    """The latest undo that nothing newer has overtaken, or None."""
    acts = Act.objects.filter(practice=practice, subject=subject).order_by("-id")
    newest_edit = acts.filter(kind=Act.Kind.EDIT).values_list("id", flat=True).first() or 0
    return acts.filter(kind=Act.Kind.UNDO, is_undone=False, id__gt=newest_edit).first()


def undo(act: Act, *, by: Membership) -> Act:
    """Put back what `act` changed, as a new act; undoing an undo does it again.

    Raises UndoConflict, changing nothing.
    """
    for check in _guards:
        check(by, act)
    take_back = _undoers.get(act.subject.partition(":")[0], _undo)
    try:
        return take_back(act, by)
    except (IntegrityError, ObjectDoesNotExist, ValidationError, Gone) as problem:
        words = (
            f"'{act.label}' cannot be taken back: something newer has taken its place, or what it belongs to is gone."
        )
        raise UndoConflict(words) from problem


def _undo(act: Act, by: Membership) -> Act:
    again = act.kind == Act.Kind.UNDO
    verb, kind = ("Redo", Act.Kind.REDO) if again else ("Undo", Act.Kind.UNDO)
    root = _root(act)
    with write(f"{verb}: {root.label}", by=by, subject=act.subject, kind=kind, undoes=act) as tape:
        locked = Act.objects.select_for_update().get(pk=act.pk)
        if locked.is_undone:
            raise UndoConflict(f"'{act.label}' has been undone already.")
        touched: dict[str, list[Values]] = {}
        for run in runs_of(act.changes.order_by("-id")):
            _restore_run(tape, run)
        for change in act.changes.order_by("-id"):
            touched.setdefault(change.model, []).extend(v for v in (change.before, change.after) if v)
        Act.objects.filter(pk=act.pk).update(is_undone=True)
        # However long the chain of undo and redo, the edit at its root is in force or it is not.
        Act.objects.filter(pk=root.pk).update(is_undone=not again)
        for model, values in touched.items():
            if model in _derived:
                _derived[model](values)
    return tape.act


def _root(act: Act) -> Act:
    while act.undoes is not None:
        act = act.undoes
    return act


def _content(values: Values) -> Values:
    """Values without the version, which undoing raises too."""
    return {name: value for name, value in values.items() if name != "version"}


def _restore(tape: Tape, change: Change) -> None:
    model = apps.get_model(change.model)
    present = model._default_manager.filter(pk=change.row).first()
    if change.before is None:
        if present is not None:
            if _content(fields_of(present)) != _content(change.after or {}):
                raise UndoConflict(f"{model._meta.verbose_name.capitalize()} was changed again since: undo that first.")
            collector, doomed = doomed_with(tape.lock(present))
            # What was logged from a sheet must not lose it: a row that points here counts as those that would go.
            there = [*doomed, *(one for one, _ in loosened_by(collector))]
            newer = built_on(there, tape.act.undoes or change.act)
            if newer:
                raise UndoConflict(f"'{newer}' builds on this: undo that first.")
            tape._remove(collector, doomed)
        return
    if change.after is None:
        if present is None:
            row = row_from(model, change.before)
            row.save(force_insert=True)
            tape._note(row, None, fields_of(row))
        return
    if present is None:
        raise UndoConflict(f"{model._meta.verbose_name.capitalize()} no longer exists, so it cannot be put back.")
    row = tape.lock(present)
    if not put_back(row, change.before, change.after):
        raise UndoConflict(f"{model._meta.verbose_name.capitalize()} was changed again since: undo that first.")
    tape.save(row)


def _restore_run(tape: Tape, run: Sequence[Change]) -> None:
    if len(run) == 1:
        _restore(tape, run[0])
        return
    model = apps.get_model(run[0].model)
    name = model._meta.verbose_name.capitalize()
    try:
        rows = tape.lock_all(model(pk=change.row) for change in run)
    except Gone as gone:
        raise UndoConflict(f"{name} no longer exists, so it cannot be put back.") from gone
    if not all(put_back(row, change.before or {}, change.after or {}) for row, change in zip(rows, run, strict=True)):
        raise UndoConflict(f"{name} was changed again since: undo that first.")
    if missing_target(rows):
        raise UndoConflict(f"What one {name.lower()} belongs to is gone, so it cannot be put back.")
    tape.save_all(rows)
