"""The one way to insert many rows at once: checked first, because SQLite stores what PostgreSQL refuses."""

from collections.abc import Iterable
from typing import TypeVar

from django.db import models

Row = TypeVar("Row", bound=models.Model)
BATCH = 500


def insert(rows: Iterable[Row]) -> list[Row]:
    """Check each row's own columns and insert all of them; gives them back with their ids. ValidationError.

    Links, uniqueness and constraints are left to the database, which checks them anyway.
    """
    made = list(rows)
    for row in made:
        row.clean_fields(exclude=_links(type(row)))
    return type(made[0])._default_manager.bulk_create(made, batch_size=BATCH) if made else []


def _links(model: type[models.Model]) -> set[str]:
    return {field.name for field in model._meta.concrete_fields if field.is_relation or field.primary_key}
