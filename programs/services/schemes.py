"""Keeping schemes by name, and putting one into a planned exercise."""

from datetime import datetime

from clients.services.stale import take_over
from coachdesk import engine
from coachdesk.practice.merge import Conflict, StaleEdit, values_at
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import fields_of, write
from programs.models import PlannedExercise, Scheme
from programs.services.programs import subject_of


def create_scheme(*, by: Membership, now: datetime, name: str, scheme: engine.Scheme) -> Scheme:
    """Keep a scheme under a name. ValidationError."""
    with write(f"Keep scheme {name}", by=by, subject="schemes", at=now) as tape:
        return tape.create(Scheme(practice=by.practice, name=name, value=engine.scheme_to_json(scheme)))


def edit_scheme(
    *, by: Membership, row: Scheme, version: int, now: datetime, name: str, scheme: engine.Scheme
) -> Scheme:
    """Change a kept scheme, last seen at `version`; programmes that used it stay as they are. Raises StaleForm."""
    with write(f"Change scheme {row.name}", by=by, subject="schemes", at=now) as tape:
        fields = {"name": name, "value": engine.scheme_to_json(scheme)}
        return tape.save(take_over(tape.lock(row), version=version, fields=fields))


def remove_scheme(*, by: Membership, row: Scheme, now: datetime) -> None:
    """Forget a kept scheme; programmes that used it stay as they are."""
    with write(f"Delete scheme {row.name}", by=by, subject="schemes", at=now) as tape:
        tape.delete(tape.lock(row))


def use_scheme(
    *, by: Membership, planned: PlannedExercise, version: int, scheme: engine.Scheme, now: datetime
) -> PlannedExercise:
    """Put a scheme into a planned exercise as one act of its programme, so that the editor's undo takes it back.

    Raises StaleEdit when somebody gave the exercise another scheme since `version`.
    """
    session, words = planned.session, engine.scheme_words(scheme)
    label = f"Use {words} for {planned.exercise.name}, {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program), at=now) as tape:
        row = tape.lock(planned)
        base = fields_of(row) if version == row.version else values_at(row, version)
        if base is None or (base["scheme"] != row.scheme and row.scheme != engine.scheme_to_json(scheme)):
            theirs = engine.scheme_words(engine.scheme_from_json(row.scheme))
            raise StaleEdit(row, [Conflict("scheme", words, theirs)])
        row.scheme = engine.scheme_to_json(scheme)
        return tape.save(row)
