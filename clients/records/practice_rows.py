"""What a practice has that is no client's: places, exercises, schemes, templates, groups, rules for everyone."""

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import models

from clients.records.belongings import Belonging, belongings
from clients.records.export import AT_ONCE
from coachdesk.practice.models import Act, Change, Practice
from coachdesk.practice.rows import fields_of

# The tape goes with each client; taken whole it would say of one client what belongs to another.
NOT_HERE = (Act, Change)


def practice_json(practice: Practice, now: datetime) -> Iterator[str]:
    """The practice as one JSON object: `rows` by kind, those that hang on a client left out."""
    head = json.dumps({"v": 1, "exported_at": now.isoformat(), "practice": practice.pk})
    yield head[:-1] + ', "rows": {'
    kinds = [one for one in belongings(Practice) if one.model not in NOT_HERE]
    for n, one in enumerate(kinds):
        yield f'{", " if n else ""}"{one.label}": ['
        for m, row in enumerate(shared_rows(one, practice).iterator(AT_ONCE)):
            yield f"{',' if m else ''}\n{json.dumps(fields_of(row), cls=DjangoJSONEncoder, ensure_ascii=False)}"
        yield "]"
    yield "}}\n"


def shared_rows(one: Belonging, practice: Practice) -> "models.QuerySet[Any]":
    """The practice's rows of a kind that hang on no client."""
    rows = one.rows(practice.pk)
    for mine in belongings():
        if mine.model is one.model:
            # A client itself hangs on a client, and so does a row with a way to one.
            rows = rows.filter(**{f"{path}__isnull": True for path in mine.paths}) if mine.paths else rows.none()
    return rows
