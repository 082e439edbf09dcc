"""Telling a replay from a new write: the same key with the same payload gets the first answer again."""

from collections.abc import Callable, Sequence
from typing import Any

from django.db import models

from coachdesk.practice.models import Change, Values
from coachdesk.practice.tape import fields_of
from programs.logs.models import SessionLog, SetLog


class KeyReused(Exception):
    """The key was used before with another payload; nothing was written. `row` is what the key stands for."""

    def __init__(self, row: models.Model, words: str) -> None:
        super().__init__(words)
        self.row = row


class Replayed(Exception):
    """The very same write again: `row` is the first answer. Raised inside the act, so that nothing of it stays."""

    def __init__(self, row: models.Model) -> None:
        super().__init__()
        self.row = row


SESSION_PAYLOAD = ("sheet_id", "done_on", "status", "minutes", "rating", "skipped_why", "note", "name", "place_id")
SET_PAYLOAD = (
    "exercise_id", "position", "set_no", "step_no", "side", "rep_kind", "load", "setting", "unit", "reps",
    "rir", "as_written",
)  # fmt: skip


def refuse_replay(
    session_log: SessionLog, sets: list[SetLog], agrees: Callable[[SessionLog], bool] = lambda known: True
) -> None:
    """Raises Replayed or KeyReused when this client's key is known; quiet when it is new.

    `agrees`: whether what else came with the session is what the known one came with.
    """
    known = SessionLog.objects.filter(client=session_log.client, key=session_log.key).first()
    if known is None:
        return
    mine = {str(row.key): payload(fields_of(row), SET_PAYLOAD) for row in sets}
    same = payload(first_values([known])[known.pk], SESSION_PAYLOAD) == payload(fields_of(session_log), SESSION_PAYLOAD)
    if same and mine == first_sets(known) and agrees(known):
        raise Replayed(known)
    raise KeyReused(known, "This session was saved before with other values, perhaps from another tab.")


def refuse_set_replay(row: SetLog) -> None:
    """The same for one set."""
    known = SetLog.objects.filter(client_id=row.client_id, key=row.key).first()
    if known is None:
        return
    first = payload(first_values([known])[known.pk], SET_PAYLOAD)
    if known.session_log_id == row.session_log_id and first == payload(fields_of(row), SET_PAYLOAD):
        raise Replayed(known)
    raise KeyReused(known, f"Set {known.set_no} was saved before with other values: {known.reps} reps.")


def first_values(rows: Sequence[models.Model]) -> dict[Any, Values]:
    """Each row as it was first written, whatever was edited since, by id; one query for all of one model.

    A row's first change on the tape says it; a row without any has never been edited.
    """
    first: dict[Any, Values | None] = {}
    if rows:
        changes = Change.objects.filter(model=rows[0]._meta.label_lower, row__in=[row.pk for row in rows])
        for change in changes.order_by("id"):
            first.setdefault(change.row, change.before if change.before is not None else change.after)
    return {row.pk: first.get(row.pk) or fields_of(row) for row in rows}


def first_sets(session_log: SessionLog) -> dict[str, Values]:
    """The payload of each set that came with the session, as first written, by key: edits and removals undone.

    Sets logged one by one later are left out: their first change on the tape is their making.
    """
    tape = Change.objects.filter(model=SetLog._meta.label_lower)
    present = {row.pk: fields_of(row) for row in session_log.sets.all()}
    removed = tape.filter(after__isnull=True, before__session_log_id=session_log.pk).values_list("row", flat=True)
    first: dict[int, Values | None] = {}
    for change in tape.filter(row__in={*present, *removed}).order_by("id"):
        first.setdefault(change.row, change.before)
    rows = [first.get(pk, present.get(pk)) for pk in {*present, *first}]
    return {values["key"]: payload(values, SET_PAYLOAD) for values in rows if values is not None}


def payload(values: Values, names: tuple[str, ...]) -> Values:
    """Only what the sender sent; what was written before a column was there has nothing in it."""
    return {name: values.get(name) for name in names}
