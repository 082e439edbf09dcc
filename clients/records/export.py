"""A client's rows as JSON and as CSV, a piece at a time, so that the largest practice fits in a little memory."""

import csv
import io
import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import datetime
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

from clients.models import Client, Equipment, Place
from clients.records.belongings import Belonging, Model, belongings, outside
from clients.records.cells import guarded, to_cell
from clients.records.history import Deleted, acts_about, ids_ever
from coachdesk.practice.models import Act, Change
from coachdesk.practice.rows import fields_of, parts

AT_ONCE = 500
Lines = Iterator[Sequence[str]]
# Tables in the trade's own words beside the plain ones: file name -> lines, told by the apps that know the rows.
_tables: dict[str, Callable[[Sequence[int]], Lines]] = {}


def with_export(name: str, lines: Callable[[Sequence[int]], Lines]) -> None:
    """Register a table `name`: `lines(client ids)` gives its heading and its rows, their texts guarded."""
    _tables[name] = lines


class Names:
    """What rows outside the client's own are called, looked up once each: exercises, places, people."""

    def __init__(self) -> None:
        self.found: dict[Model, dict[Any, str]] = {}

    def of(self, field: "models.ForeignKey[models.Model]", pk: Any) -> str:
        if pk is None:
            return ""
        known = self.found.setdefault(field.related_model, {})
        if pk not in known:
            row = field.related_model._default_manager.filter(pk=pk).first()
            known[pk] = "" if row is None else str(row)
        return known[pk]


def rows_of(one: Belonging, ids: Sequence[int]) -> Iterator[models.Model]:
    """The rows of these clients, a few at a time."""
    for part in parts(list(ids), 100):
        yield from one.rows(*part).iterator(AT_ONCE)


def client_json(client: Client, deleted: Deleted, now: datetime) -> Iterator[str]:
    """The client as one JSON object: `rows` by kind, `named` what they point at, `equipment`, `acts`."""
    names = Names()
    head = {"v": 1, "exported_at": now.isoformat(), "client": client.pk}
    yield _dump(head)[:-1] + ', "rows": {'
    for n, one in enumerate(belongings()):
        yield f"{', ' if n else ''}{_dump(one.label)}: ["
        yield from _json_rows(one, client, names)
        yield "]"
    named = {kind._meta.label_lower: {str(pk): said for pk, said in rows.items()} for kind, rows in names.found.items()}
    yield f'}}, "named": {_dump(named)}, "equipment": {_dump(_equipment(client))}, "acts": ['
    yield from _json_acts(client, deleted)
    yield "]}\n"


def _dump(value: Any) -> str:
    return json.dumps(value, cls=DjangoJSONEncoder, ensure_ascii=False)


def _json_rows(one: Belonging, client: Client, names: Names) -> Iterator[str]:
    links = outside(one)
    for n, row in enumerate(rows_of(one, [client.pk])):
        for field in links:
            names.of(field, getattr(row, field.attname))
        yield f"{',' if n else ''}\n{_dump(fields_of(row))}"


def _equipment(client: Client) -> dict[str, list[dict[str, Any]]]:
    """Place -> the equipment there, for every place that the client's rows name."""
    places: set[int] = set()
    for one in belongings():
        for field in outside(one):
            if field.related_model is Place:
                found = one.rows(client.pk).exclude(**{field.attname: None})
                places.update(found.order_by().values_list(field.attname, flat=True))
    rows = Equipment.objects.filter(place__in=places).order_by("place", "id")
    said: dict[str, list[dict[str, Any]]] = {str(pk): [] for pk in sorted(places)}
    for row in rows:
        said[str(row.place_id)].append(fields_of(row))
    return said


def _json_acts(client: Client, deleted: Deleted) -> Iterator[str]:
    """Acts about the client in order, each with the changes of the client's own rows and of nobody else's."""
    ids = {label: set(rows) for label, rows in ids_ever(client, deleted).items()}
    acts = acts_about(client, {label: sorted(rows) for label, rows in ids.items()})
    first = True
    for part in parts(acts, 100):
        changes: dict[int, list[dict[str, Any]]] = {}
        for change in Change.objects.filter(act__in=part, model__in=ids).order_by("id").iterator(AT_ONCE):
            if change.row in ids[change.model]:
                said = {"model": change.model, "row": change.row, "before": change.before, "after": change.after}
                changes.setdefault(change.act_id, []).append(said)
        for act in Act.objects.filter(pk__in=part).select_related("actor__user").order_by("id"):
            yield ("" if first else ",") + "\n" + _dump({**act_words(act), "changes": changes.get(act.pk, [])})
            first = False


def act_words(act: Act) -> dict[str, Any]:
    """Who did what, and when."""
    who = act.actor.user.name if act.actor else "the desk"
    kept = {"id": act.pk, "at": act.at.isoformat(), "by": who, "what": act.label}
    return {**kept, "kind": act.kind, "source": act.source, "undone": act.is_undone, "undoes": act.undoes_id}


def csv_tables(ids: Sequence[int]) -> Iterator[tuple[str, Lines]]:
    """(file name, lines of cells ready to write) of every table: one a kind, then those in the trade's words."""
    names = Names()
    for one in belongings():
        yield f"csv/{one.plural.replace(' ', '-')}.csv", csv_rows(one, ids, names)
    for name, lines in _tables.items():
        yield name, lines(ids)


def csv_rows(one: Belonging, ids: Sequence[int], names: Names) -> Lines:
    """A heading, then a line a row: its columns, and after them what each row outside is called."""
    fields, links = one.model._meta.concrete_fields, outside(one)
    yield [*(f.attname for f in fields), *(f.name for f in links)]
    for row in rows_of(one, ids):
        values = fields_of(row)
        cells = [to_cell(f, values[f.attname]) for f in fields]
        yield [*cells, *(guarded(names.of(f, values[f.attname])) for f in links)]


def csv_text(lines: Iterable[Sequence[str]]) -> Iterator[str]:
    """Lines of cells as the text of a CSV file: commas, quotes where needed, CR LF."""
    buffer = io.StringIO()
    writer = csv.writer(buffer)
    for line in lines:
        writer.writerow(line)
        if buffer.tell() > 64 * 1024:
            yield buffer.getvalue()
            buffer.seek(0)
            buffer.truncate()
    yield buffer.getvalue()
