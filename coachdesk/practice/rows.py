"""Rows as plain values and back, and what hangs on a row: what the tape keeps and deletes."""

from collections.abc import Iterator
from typing import Any, TypeVar

from django.db import models, router
from django.db.models.deletion import Collector

from coachdesk.practice.models import Values

Row = TypeVar("Row", bound=models.Model)


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


def parts(ids: list[Any], size: int = 500) -> Iterator[list[Any]]:
    """A long list of ids in runs that a database takes in one query."""
    for start in range(0, len(ids), size):
        yield ids[start : start + size]


def doomed_with(row: models.Model) -> tuple[Collector, list[models.Model]]:
    collector = Collector(using=router.db_for_write(type(row)), origin=row)
    collector.collect([row])
    rows = [one for rows in collector.data.values() for one in rows]
    return collector, rows + [one for query in collector.fast_deletes for one in query]


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
