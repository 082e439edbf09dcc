"""What belongs to a client (or a practice), read off the models themselves: every row that goes when that one goes."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from django.apps import apps
from django.db import models
from django.db.models import Q

from clients.models import Client

Model = type[models.Model]


@dataclass(frozen=True)
class Belonging:
    """A kind of row that hangs on a client. `parents`: column -> the kind it points at, which is a belonging too.

    `paths` are lookups from a row to its client, such as 'session__block__program__client'; the client has none.
    """

    model: Model
    parents: tuple[tuple[str, Model], ...] = ()
    paths: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        return self.model._meta.label_lower

    @property
    def name(self) -> str:
        """'set log', as the model calls one row of itself."""
        return str(self.model._meta.verbose_name)

    @property
    def plural(self) -> str:
        return str(self.model._meta.verbose_name_plural)

    def rows(self, *clients: int) -> "models.QuerySet[models.Model]":
        """The rows that belong to these clients, by id."""
        wanted = Q() if self.paths else Q(pk__in=clients)
        for path in self.paths:
            wanted |= Q(**{f"{path}__in": clients})
        rows = self.model._default_manager.filter(wanted)
        return (rows.distinct() if len(self.paths) > 1 else rows).order_by("pk")


@cache
def belongings(root: Model = Client) -> tuple[Belonging, ...]:
    """The root's own row first, then every kind of row that goes with it, parents before children."""
    found: dict[Model, Belonging] = {root: Belonging(root)}
    # A kind is looked at again when another parent of it turned up: A > C and A > B > C.
    while (more := dict(_children(root, found))) != {k: v for k, v in found.items() if k is not root}:
        found |= more
    return tuple(_in_order(found))


def outside(one: Belonging, root: Model = Client) -> "list[models.ForeignKey[models.Model]]":
    """Foreign keys to rows that stay when the root goes, such as exercises and places."""
    inside = {kind.model for kind in belongings(root)}
    return [f for f in _links(one.model) if f.related_model not in inside]


def _children(root: Model, found: dict[Model, Belonging]) -> Iterator[tuple[Model, Belonging]]:
    for model in apps.get_models():
        links = [f for f in _links(model) if _cascades(f) and f.related_model in found and model is not root]
        if not links:
            continue
        ways = [(f, path) for f in links for path in _paths(f, found)]
        sure = sorted((path for f, path in ways if not f.null), key=lambda path: (path.count("__"), path))
        parents = tuple((f.attname, f.related_model) for f in links)
        # One way that every row has is enough; where each may be empty, any of them makes it the client's.
        yield model, Belonging(model, parents, tuple(sure[:1] or sorted({path for _, path in ways})))


def _links(model: Model) -> "list[models.ForeignKey[models.Model]]":
    return [f for f in model._meta.concrete_fields if isinstance(f, models.ForeignKey)]


def _cascades(field: "models.ForeignKey[models.Model]") -> bool:
    """Whether a row is deleted with the one it points at; one that points at its own kind makes it nobody's."""
    return field.remote_field.on_delete is models.CASCADE and field.related_model is not field.model


def _paths(field: "models.ForeignKey[models.Model]", found: dict[Model, Belonging]) -> list[str]:
    parent = found[field.related_model]
    return [f"{field.name}__{path}" for path in parent.paths] if parent.paths else [field.name]


def _in_order(found: dict[Model, Belonging]) -> Iterator[Belonging]:
    waiting, done = dict(found), set[Model]()
    while waiting:
        for model, one in list(waiting.items()):
            if all(parent in done for _, parent in one.parents):
                done.add(model)
                yield waiting.pop(model)
