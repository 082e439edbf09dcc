"""Rows as plain values and back, and what hangs on a row: what the tape keeps and deletes."""

from collections.abc import Iterable, Iterator
from typing import Any, TypeVar, cast

from django.db import models, router
from django.db.models.deletion import Collector

from coachdesk.practice.models import Act, Change, Values

Row = TypeVar("Row", bound=models.Model)


def fields_of(row: models.Model) -> Values:
    """The row's own columns as plain values, in the form the tape keeps and compares them; without those off it."""
    encoded: Values = {}
    off = getattr(row, "off_tape", ())
    for field in row._meta.concrete_fields:
        if field.attname in off:
            continue
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


def parts(ids: list[Any], size: int = 500) -> Iterator[list[Any]]:
    """A long list of ids in runs that a database takes in one query."""
    for start in range(0, len(ids), size):
        yield ids[start : start + size]


def doomed_with(row: models.Model) -> tuple[Collector, list[models.Model]]:
    collector = Collector(using=router.db_for_write(type(row)), origin=row)
    collector.collect([row])
    rows = [one for rows in collector.data.values() for one in rows]
    return collector, rows + [one for query in collector.fast_deletes for one in query]


def loosened_by(collector: Collector) -> Iterator[tuple[models.Model, str]]:
    """(row, column) of every link that deleting what was collected would null."""
    for (field, _value), groups in collector.field_updates.items():
        for group in groups:
            for one in cast("Iterable[models.Model]", group):
                yield one, field.attname


def parents_first(kinds: set[type[models.Model]]) -> list[type[models.Model]]:
    done: list[type[models.Model]] = []
    begun: set[type[models.Model]] = set()

    def visit(kind: type[models.Model]) -> None:
        # Two kinds may point at each other; references are checked at the end of the transaction only.
        if kind in begun:
            return
        begun.add(kind)
        for field in kind._meta.concrete_fields:
            target = field.related_model
            if isinstance(target, type) and target in kinds and target is not kind and target not in done:
                visit(target)
        if kind not in done:
            done.append(kind)

    for kind in sorted(kinds, key=lambda k: k._meta.label):
        visit(kind)
    return done


def put_back(row: models.Model, before: Values, after: Values) -> bool:
    """Set the fields that a change made other back on the row; False, and nothing set, when one stands otherwise."""
    now = fields_of(row)
    changed = {name for name in before if name != "version" and before[name] != after.get(name)}
    if any(now[name] != after.get(name) for name in changed):
        return False
    for field in row._meta.concrete_fields:
        if field.attname in changed:
            setattr(row, field.attname, field.to_python(before[field.attname]))
    return True


def missing_target(rows: Iterable[models.Model]) -> bool:
    """Whether a row points at one that is gone; one query for each foreign key that is set."""
    rows = list(rows)
    for field in rows[0]._meta.concrete_fields if rows else ():
        wanted = {getattr(row, field.attname) for row in rows} - {None} if field.is_relation else set()
        target = field.related_model
        if wanted and isinstance(target, type):
            there = sum(target._default_manager.filter(pk__in=part).count() for part in parts(sorted(wanted)))
            if there < len(wanted):
                return True
    return False


def runs_of(changes: Iterable[Change]) -> Iterator[list[Change]]:
    """The changes in order, with edits of different rows of one model that follow each other taken together."""
    run: list[Change] = []
    for change in changes:
        edits = change.before is not None and change.after is not None
        if run and not (edits and run[0].model == change.model and change.row not in {one.row for one in run}):
            yield run
            run = []
        run.append(change)
        if not edits:
            yield run
            run = []
    if run:
        yield run


def built_on(doomed: list[models.Model], act: Act) -> str:
    """The label of a later act, still in force, that made or changed one of these rows, or ''."""
    ids: dict[str, list[Any]] = {}
    for one in doomed:
        ids.setdefault(one._meta.label_lower, []).append(one.pk)
    newer = Change.objects.filter(act_id__gt=act.pk, act__kind=Act.Kind.EDIT, act__is_undone=False)
    for model, pks in ids.items():
        for part in parts(pks):
            found = newer.filter(model=model, row__in=part).select_related("act").first()
            if found is not None:
                return found.act.label
    return ""
