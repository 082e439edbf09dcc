"""The tape: the one way to write. An act in words, its changes field by field, in the same transaction."""

import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, nullcontext
from contextvars import ContextVar
from datetime import datetime
from typing import Any, TypeVar, cast

from django.apps import apps
from django.db import connection, models, router, transaction
from django.db.models.deletion import Collector
from django.utils import timezone

from coachdesk.practice.models import Act, Change, Membership, Practice, Values

Row = TypeVar("Row", bound=models.Model)

# SQLite lets one writer in at a time; waiting here is fair and silent, waiting in the database polls.
_writer = threading.RLock()
_current: ContextVar["Tape | None"] = ContextVar("tape", default=None)
# What must be worked out anew after an undo touched rows of a model, told by the app that derives it.
_derived: dict[str, Callable[[list[Values]], None]] = {}


def derived(label: str, refresh: Callable[[list[Values]], None]) -> None:
    """Register `refresh(values of touched rows)` to run inside the transaction after an undo touched `label`."""
    _derived[label] = refresh


def fields_of(row: models.Model) -> Values:
    """The row's own columns as plain values, in the form the tape keeps and compares them."""
    encoded: Values = {}
    for field in row._meta.concrete_fields:
        value = field.value_from_object(row)
        encoded[field.attname] = field.value_to_string(row) if _needs_text(value) else value
    return encoded


def _needs_text(value: Any) -> bool:
    return value is not None and not isinstance(value, (str, int, float, bool, dict, list))


def row_from(model: type[Row], values: Values) -> Row:
    """An unsaved row with these columns; the inverse of `fields_of`."""
    kwargs = {}
    for field in model._meta.concrete_fields:
        if field.attname in values:
            kwargs[field.attname] = field.to_python(values[field.attname])
    return model(**kwargs)


class Tape:
    """What an act may do to rows. Made by `write`; every method records before and after."""

    def __init__(self, act: Act) -> None:
        self.act = act
        self.noted = 0
        self._before: dict[tuple[str, Any], Values] = {}

    def lock(self, row: Row) -> Row:
        """Read the row again under a lock, and remember its values as the `before` of this act."""
        model = type(row)
        fresh = model._default_manager.select_for_update().get(pk=row.pk)
        self._before[(model._meta.label_lower, fresh.pk)] = fields_of(fresh)
        return fresh

    def create(self, row: Row, *, record: bool = True) -> Row:
        """Insert a checked row. `record=False` for the inside of a big new aggregate: only its root is recorded."""
        row.full_clean(validate_unique=record, validate_constraints=record)
        row.save(force_insert=True)
        if record:
            self._note(row, None, fields_of(row))
        return row

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
        """Delete a row and what hangs on it; every deleted row is recorded, so that undo brings all back."""
        collector = Collector(using=router.db_for_write(type(row)), origin=row)
        collector.collect([row])
        doomed = [one for rows in collector.data.values() for one in rows]
        doomed += [one for query in collector.fast_deletes for one in query]
        # Links that the delete will null are noted first, so that undo, going backwards, mends them last.
        for (field, _value), groups in collector.field_updates.items():
            for one in (one for group in groups for one in cast("Iterable[models.Model]", group)):
                self._note(one, fields_of(one), {**fields_of(one), field.attname: None})
        order = {model: n for n, model in enumerate(_parents_first({type(one) for one in doomed}))}
        for one in sorted(doomed, key=lambda one: -order[type(one)]):
            self._note(one, fields_of(one), None)
        row.delete()

    def _note(self, row: models.Model, before: Values | None, after: Values | None) -> None:
        pk = (after or before or {})[row._meta.pk.attname]
        self.noted += 1
        Change.objects.create(act=self.act, model=row._meta.label_lower, row=pk, before=before, after=after)


def _parents_first(kinds: set[type[models.Model]]) -> list[type[models.Model]]:
    done: list[type[models.Model]] = []

    def visit(kind: type[models.Model]) -> None:
        for field in kind._meta.concrete_fields:
            target = field.related_model
            if isinstance(target, type) and target in kinds and target is not kind and target not in done:
                visit(target)
        if kind not in done:
            done.append(kind)

    for kind in sorted(kinds, key=lambda k: k._meta.label):
        visit(kind)
    return done


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

    `by` is who acts (None: the desk itself, then `practice` must be given).
    """
    joined = _current.get()
    if joined is not None:
        yield joined
        return
    home = practice or (by.practice if by else None)
    if home is None:
        raise ValueError("write() needs `by` or `practice`: every act belongs to a practice")
    with _writer if connection.vendor == "sqlite" else nullcontext(), transaction.atomic():
        act = Act(
            practice=home, actor=by, label=label[:200], subject=subject, source=source, kind=kind, undoes=undoes,
            at=at or timezone.now(),
        )  # fmt: skip
        act.full_clean(validate_unique=False, validate_constraints=False)
        act.save(force_insert=True)
        tape = Tape(act)
        token = _current.set(tape)
        try:
            yield tape
        finally:
            _current.reset(token)
        if not tape.noted and kind == Act.Kind.EDIT:
            # Nothing changed: an act without changes would be an undo that does nothing.
            act.delete()


class UndoConflict(Exception):
    """Something changed since; undoing would overwrite it. Says what, in words."""


def next_undo(practice: Practice, subject: str) -> Act | None:
    """The latest act of this subject that is still in force, or None."""
    acts = Act.objects.filter(practice=practice, subject=subject, kind=Act.Kind.EDIT, is_undone=False)
    return acts.order_by("-id").first()


def next_redo(practice: Practice, subject: str) -> Act | None:
    """The latest undo that nothing newer has overtaken, or None."""
    acts = Act.objects.filter(practice=practice, subject=subject).order_by("-id")
    newest_edit = acts.filter(kind=Act.Kind.EDIT).values_list("id", flat=True).first() or 0
    return acts.filter(kind=Act.Kind.UNDO, is_undone=False, id__gt=newest_edit).first()


def undo(act: Act, *, by: Membership) -> Act:
    """Put back what `act` changed, as a new act; undoing an undo does it again.

    Raises UndoConflict, changing nothing.
    """
    again = act.kind == Act.Kind.UNDO
    verb, kind = ("Redo", Act.Kind.REDO) if again else ("Undo", Act.Kind.UNDO)
    original = act.undoes if again and act.undoes else act
    label = f"{verb}: {original.label}"
    with write(label, by=by, subject=act.subject, kind=kind, undoes=act) as tape:
        locked = Act.objects.select_for_update().get(pk=act.pk)
        if locked.is_undone:
            raise UndoConflict(f"'{act.label}' has been undone already.")
        touched: dict[str, list[Values]] = {}
        for change in act.changes.order_by("-id"):
            _restore(tape, change)
            touched.setdefault(change.model, []).extend(v for v in (change.before, change.after) if v)
        Act.objects.filter(pk=act.pk).update(is_undone=True)
        if again:
            Act.objects.filter(pk=original.pk).update(is_undone=False)
        elif act.kind == Act.Kind.REDO and act.undoes and act.undoes.undoes_id:
            Act.objects.filter(pk=act.undoes.undoes_id).update(is_undone=True)
        for model, values in touched.items():
            if model in _derived:
                _derived[model](values)
    return tape.act


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
            tape.delete(present)
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
    now = fields_of(row)
    for name in change.before:
        if name == "version" or change.before[name] == change.after.get(name):
            continue
        if now[name] != change.after.get(name):
            raise UndoConflict(f"{model._meta.verbose_name.capitalize()} was changed again since: undo that first.")
        setattr(row, name, model._meta.get_field(name).to_python(change.before[name]))
    tape.save(row)
