"""What the tape holds about a client: changes of rows that are there and of rows that were deleted, and their acts."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

from django.db.models import Q

from clients.models import Client
from clients.records.belongings import Belonging, Model, belongings
from coachdesk.practice.models import Act, Change
from coachdesk.practice.rows import parts

# (client's id -> model's label -> ids of deleted rows), and (model's label -> ids of rows)
Deleted = dict[int, dict[str, set[int]]]
Ids = dict[str, list[int]]
Owners = dict[str, dict[int, int]]


def deleted_rows(practice_id: int) -> Deleted:
    """Whose the rows were that the tape remembers as deleted; one pass for a whole practice."""
    owners: Owners = {}
    for one in belongings():
        owners[one.label] = dict(_owners(one, practice_id, owners))
    found: Deleted = defaultdict(lambda: defaultdict(set))
    for label, rows in owners.items():
        for row, owner in rows.items():
            found[owner][label].add(row)
    return found


def _owners(one: Belonging, practice_id: int, found: Owners) -> Iterator[tuple[int, int]]:
    gone = Change.objects.filter(act__practice=practice_id, model=one.label, after__isnull=True, before__isnull=False)
    rows = [(row, values or {}) for row, values in gone.values_list("row", "before")]
    if one.model is Client:
        yield from ((row, row) for row, _ in rows)
    for column, parent in one.parents:
        known = found[parent._meta.label_lower]
        there = _living_owners(parent, {values.get(column) for _, values in rows} - {None} - set(known))
        for row, values in rows:
            above: Any = values.get(column)
            owner = known.get(above) or there.get(above)
            if owner is not None:
                yield row, owner


def _living_owners(parent: Model, ids: set[Any]) -> dict[Any, int]:
    if parent is Client:
        return {pk: pk for pk in ids}
    path = next(one.paths[0] for one in belongings() if one.model is parent)
    owners: dict[Any, int] = {}
    for part in parts(sorted(ids)):
        rows = parent._default_manager.filter(pk__in=part).exclude(**{path: None})
        owners |= dict(rows.values_list("pk", path))
    return owners


def ids_ever(client: Client, deleted: Deleted) -> Ids:
    """The ids of every row that is or was the client's, by model's label."""
    found = {}
    for one in belongings():
        was = deleted.get(client.pk, {}).get(one.label, set())
        found[one.label] = sorted(was | set(one.rows(client.pk).values_list("pk", flat=True)))
    return found


def changes_of(ids: Ids) -> Iterator[Q]:
    """Filters that together find every change of these rows, each small enough for one query."""
    for label, rows in ids.items():
        for part in parts(rows):
            yield Q(model=label, row__in=part)


def acts_about(client: Client, ids: Ids) -> list[int]:
    """Ids of the acts that made, changed or deleted a row of the client, and of those that undid one; in order."""
    own = Act.objects.filter(practice=client.practice_id, subject=f"client:{client.pk}")
    acts = set(own.values_list("pk", flat=True))
    for some in changes_of(ids):
        acts.update(Change.objects.filter(some).values_list("act", flat=True))
    fresh: Iterable[int] = acts
    while fresh:
        fresh = _undoing(fresh) - acts
        acts |= fresh
    return sorted(acts)


def _undoing(acts: Iterable[int]) -> set[int]:
    found: set[int] = set()
    for part in parts(sorted(acts)):
        found.update(Act.objects.filter(undoes__in=part).values_list("pk", flat=True))
    return found


def kinds_by_act(acts: list[int]) -> dict[int, set[str]]:
    """The labels of the models that each act touched."""
    found: dict[int, set[str]] = defaultdict(set)
    for part in parts(acts):
        for act, model in Change.objects.filter(act__in=part).values_list("act", "model").distinct():
            found[act].add(model)
    return found
