"""Applying a remedy's edits to plans and client: what the desk does to its rows, on plain values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .context import Context
from .errors import EngineError, instance, items
from .flags import Edit
from .plans import ClientTraits, ExercisePlan, SessionPlan


def apply_edits(
    sessions: Sequence[SessionPlan], client: ClientTraits, edits: Sequence[Edit]
) -> tuple[tuple[SessionPlan, ...], ClientTraits]:
    """(sessions, client) with the edits made; EngineError for an edit of a kind or key that is not there."""
    made = items("sessions", sessions)
    for session in made:
        instance("session", session, SessionPlan)
    instance("client", client, ClientTraits)
    for edit in items("edits", edits):
        instance("edit", edit, Edit)
        if edit.target == "date" and edit.field in ("remove", "test"):
            continue  # a day of the context: `without_dates`
        if (edit.target, edit.field) == ("client", "mark"):
            client = replace(client, marks=tuple(mark for mark in client.marks if mark[0] != edit.key))
        elif (edit.target, edit.field) == ("session", "day"):
            made = _moved(made, edit)
        elif (edit.target, edit.field) == ("session", "remove"):
            made = _without(made, edit)
        elif edit.target == "exercise" and edit.field in ("scheme", "remove", "last"):
            made = _changed(made, edit)
        else:
            right = "exercise scheme, last or remove, session day or remove, client mark"
            raise EngineError("edit", (edit.target, edit.field), right)
    return made, client


def without_dates(context: Context, edits: Sequence[Edit]) -> Context:
    """The context without the days to train towards that these edits take out."""
    instance("context", context, Context)
    for edit in items("edits", edits):
        instance("edit", edit, Edit)
    gone = {edit.key for edit in edits if (edit.target, edit.field) == ("date", "remove")}
    return replace(context, targets=tuple(one for one in context.targets if one.key not in gone))


def _moved(sessions: tuple[SessionPlan, ...], edit: Edit) -> tuple[SessionPlan, ...]:
    if edit.key not in [session.key for session in sessions]:
        raise EngineError("session key", edit.key, "that of a session in the plan")
    # replace() checks the new day
    return tuple(replace(s, day=edit.value) if s.key == edit.key else s for s in sessions)  # type: ignore[arg-type]


def _without(sessions: tuple[SessionPlan, ...], edit: Edit) -> tuple[SessionPlan, ...]:
    if edit.key not in [session.key for session in sessions]:
        raise EngineError("session key", edit.key, "that of a session in the plan")
    return tuple(s for s in sessions if s.key != edit.key)


def _changed(sessions: tuple[SessionPlan, ...], edit: Edit) -> tuple[SessionPlan, ...]:
    found = False
    made = []
    for session in sessions:
        if edit.key in [plan.key for plan in session.exercises]:
            found = True
            session = replace(session, exercises=_exercises(session, edit))
        made.append(session)
    if not found:
        raise EngineError("exercise key", edit.key, "that of a planned exercise")
    return tuple(made)


def _exercises(session: SessionPlan, edit: Edit) -> tuple[ExercisePlan, ...]:
    if edit.field == "remove":
        return tuple(plan for plan in session.exercises if plan.key != edit.key)
    if edit.field == "last":
        rest = tuple(plan for plan in session.exercises if plan.key != edit.key)
        return rest + tuple(plan for plan in session.exercises if plan.key == edit.key)
    return tuple(
        replace(plan, scheme=edit.value) if plan.key == edit.key else plan  # type: ignore[arg-type]
        for plan in session.exercises
    )
