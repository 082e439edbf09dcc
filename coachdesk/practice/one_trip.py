"""Rows of several tables in one round trip to the database."""

import json
from collections.abc import Callable, Iterable, Sequence
from copy import copy
from datetime import UTC
from typing import Any

from django.db import connection, models
from django.db.models import Expression, F, Func, QuerySet, Value
from django.utils.timezone import is_naive

Column = tuple[str, "models.Field[Any, Any]"]
# SQLite writes numbers in JSON with 15 digits only
EXACT = "CASE WHEN %(expressions)s IS NOT NULL THEN printf('%%%%!.17g', %(expressions)s) END"


def one_trip(*querysets: QuerySet[Any, Any]) -> list[list[Any]]:
    """What each queryset would give: its rows in order of id, or the tuples of a `values_list` in no order.

    The rows travel as JSON in one UNION ALL. Related rows are neither joined nor prefetched, and querysets must
    not be sliced. Pages that look at many small tables wait once instead of once a table.
    """
    plans = [_Plan(rows) for rows in querysets]
    first, *others = [plan.part(number) for number, plan in enumerate(plans)]
    found: list[list[Any]] = [[] for _ in plans]
    for number, row in first.union(*others, all=True) if others else first:
        found[number].append(plans[number].made(row))
    for rows in found:
        if rows and isinstance(rows[0], models.Model):
            rows.sort(key=lambda row: row.pk)
    return found


def keep(parents: Iterable[models.Model], name: str, rows: Iterable[Any], *, back: bool = True) -> None:
    """Give each parent its own of these rows as its prefetched `name`, such as the screenings of clients.

    As `prefetch_related` would, for rows that came with a trip. Rows of other parents are passed over.
    `back=False`: rows do not point back at their parent, so many of them go at once when nobody holds the parent.
    """
    owned: dict[Any, list[Any]] | None = None
    for parent in parents:
        manager = getattr(parent, name)
        field = manager.field
        if owned is None:
            owned = {}
            for row in rows:
                owned.setdefault(getattr(row, field.attname), []).append(row)
        mine = manager.all()
        mine._result_cache, mine._prefetch_done = owned.get(parent.pk, []), True
        if back:
            for row in mine._result_cache:
                field.set_cached_value(row, parent)
        else:
            # Filtered by id, not by the parent itself, which it would keep alive.
            mine._hints, mine._known_related_objects = {}, {}
            mine._deferred_filter = (False, (), {field.attname: parent.pk})
        parent.__dict__.setdefault("_prefetched_objects_cache", {})[name] = mine


class _Plan:
    """How one queryset's rows are packed and unpacked."""

    def __init__(self, rows: QuerySet[Any, Any]) -> None:
        self.rows, self.model = rows, rows.model
        self.wanted: Iterable[str] | None = rows._fields  # type: ignore[attr-defined]
        self.columns = self._columns()
        readers = [_reader(field) for _, field in self.columns]
        self.readers = [(number, read) for number, read in enumerate(readers) if read is not _same]
        self.names = [field.attname for _, field in self.columns] if self.wanted is None else []

    def _columns(self) -> list[Column]:
        if self.wanted is None:
            return [(field.attname, field) for field in self.model._meta.concrete_fields]
        made = self.rows.query.annotations
        return [
            (path, made[path].output_field if path in made else _field_at(self.model, path)) for path in self.wanted
        ]

    def part(self, number: int) -> QuerySet[Any, Any]:
        """(number, row as a JSON array) of every row."""
        packed: Any = _OwnColumns([field for _, field in self.columns])
        if self.wanted is not None:
            columns = [_packed(path, field) for path, field in self.columns]
            packed = Func(*columns, function=_array(), output_field=models.JSONField())
        return self.rows.order_by().values_list(Value(number, models.IntegerField()), packed)

    def made(self, row: list[Any]) -> Any:
        """A row as the queryset would give it."""
        values = list(row)
        for number, read in self.readers:
            values[number] = read(values[number])
        if self.wanted is not None:
            return tuple(values)
        return self.model.from_db(self.rows.db, self.names, values)


class _OwnColumns(Expression):
    """Columns of the queried table itself as one JSON array: no path to follow, so there is little to compile."""

    output_field = models.JSONField()

    def __init__(self, fields: Sequence["models.Field[Any, Any]"]) -> None:
        super().__init__()
        self.fields, self.alias = fields, ""

    def resolve_expression(self, query: Any = None, *args: Any, **kwargs: Any) -> "_OwnColumns":
        made = copy(self)
        made.alias = query.get_initial_alias()
        return made

    def as_sql(self, compiler: Any, connection: Any) -> Any:
        quote, exact = connection.ops.quote_name, connection.vendor == "sqlite"
        parts = []
        for field in self.fields:
            column = f"{quote(self.alias)}.{quote(field.column)}"
            parts.append(EXACT % {"expressions": column} if exact and _is_float(field) else column)
        return f"{_array()}({', '.join(parts)})", []

    def get_group_by_cols(self) -> list[Any]:
        return [self]


def _field_at(model: type[models.Model], path: str) -> "models.Field[Any, Any]":
    """The column that a path such as 'block__program__start_on' leads to."""
    *steps, last = path.split("__")
    at: Any = model
    for step in steps:
        at = at._meta.get_field(step).related_model
    found: models.Field[Any, Any] = at._meta.pk if last == "pk" else at._meta.get_field(last)
    return found


def _packed(path: str, field: "models.Field[Any, Any]") -> Any:
    if _is_float(field) and connection.vendor == "sqlite":
        return Func(F(path), template=EXACT, output_field=models.CharField())
    return F(path)


def _array() -> str:
    return "JSON_ARRAY" if connection.vendor == "sqlite" else "JSONB_BUILD_ARRAY"


def _is_float(field: "models.Field[Any, Any]") -> bool:
    return isinstance(field, models.FloatField)


def _reader(field: "models.Field[Any, Any]") -> Callable[[Any], Any]:
    """From JSON to the value that the database would have given."""
    plain = field.target_field if isinstance(field, models.ForeignKey) else field
    if isinstance(plain, models.JSONField):
        # PostgreSQL nests it, SQLite keeps it as text
        return (lambda value: None if value is None else json.loads(value)) if connection.vendor == "sqlite" else _same
    if isinstance(plain, models.DateTimeField):
        return lambda value: _aware(plain.to_python(value))
    if isinstance(plain, models.CharField | models.TextField | models.IntegerField | models.AutoField):
        return _same
    return plain.to_python


def _same(value: Any) -> Any:
    return value


def _aware(value: Any) -> Any:
    return value.replace(tzinfo=UTC) if value is not None and is_naive(value) else value
