"""Handing a session over: an immutable copy of what was prescribed, with its cautions."""

import hashlib
import json
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError

from clients.models import Equipment, Place
from clients.selectors import today_for
from coachdesk import engine
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.mapping import body_load, machine_key
from programs.models import IssuedSheet, PlannedSession
from programs.selectors.prescription import ExerciseView, ProgramView, SessionView, Shown, program_view
from programs.selectors.programs import session_on
from programs.services.flags import dismiss_flag

CAUTIONS = (
    "Stop and tell your coach: chest pain, faintness, unusual breathlessness or palpitations, sudden severe headache, "
    "sharp pain, new numbness or weakness, calf swelling or warmth, a joint that locks or gives way, fever.",
    "New loss of bladder or bowel control, or dark urine or severe swelling in the days after: seek medical care.",
    "This sheet supports a qualified coach and replaces neither medical advice nor licensed practice nor local rules.",
)
SPOTTER = "Spotter or safeties: {names}."
# Notes that ask for the coach's judgement, not for anything the client could do.
COACH_ONLY = {"reps_out_of_range", "not_predicted", "not_makeable", "as_written", "quota_unknown"}
# Said without the reason for it: a sheet lies about in a gym.
BREATHE = "Breathe out through every effort; never hold your breath under load."


class HandoverStopped(Exception):
    """A stop stands against this session; handing over needs the coach's written reason."""

    def __init__(self, flags: list[engine.Flag]) -> None:
        super().__init__("A stop stands against this session.")
        self.flags = flags


def stops_for(view: ProgramView, session_id: int) -> list[engine.Flag]:
    """The stops nobody has answered that concern this session."""
    return [f for f in view.open_flags() if f.severity == "stop" and f.where.session_key in (None, session_id)]


def issue_sheet(*, by: Membership, session: PlannedSession, now: datetime, why: str = "") -> IssuedSheet:
    """Issue the sheet of a client's planned session; the same content again gives the sheet already issued.

    Raises HandoverStopped when a stop is open and `why` is empty; ValidationError for a template.
    """
    program = session.block.program
    client, on = program.client, session_on(session)
    if client is None or on is None:
        raise ValidationError("A template has no client; assign it first, then hand out its sheets.")
    view = program_view(program, client=client, on=today_for(client, now), shown=Shown(session.pk))
    stops = stops_for(view, session.pk)
    if stops and not why.strip():
        raise HandoverStopped(stops)
    with write(f"Issue {session.name}, week {session.week_no}, to {client.name}", by=by, at=now) as tape:
        for flag in stops:
            dismiss_flag(by=by, program=program, flag=flag, why=why, now=now)
        shown = view.session(session.pk)
        if shown is None:
            raise ValidationError("This session lies outside the weeks of its programme.")
        reasons = [d.why for d in program.flag_decisions.filter(code__in=["screening_missing", "clearance_expired"])]
        body = sheet_body(shown, view, sorted(set(reasons)))
        row = sheet_row(client_id=client.pk, session=session, on=on, now=now, body=body)
        same = IssuedSheet.objects.filter(planned_session=session, digest=row.digest).order_by("-id").first()
        return same or tape.create(row)


def sheet_row(*, client_id: int, session: PlannedSession, on: date, now: datetime, body: dict[str, Any]) -> IssuedSheet:
    """The unsaved sheet with this body; its digest tells whether the same content was issued before."""
    digest = hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()
    return IssuedSheet(client_id=client_id, planned_session=session, for_on=on, issued_at=now, digest=digest, body=body)


def sheet_body(shown: SessionView, view: ProgramView, reasons: list[str]) -> dict[str, Any]:
    """The sheet as plain JSON, version 1; logs and the printed page read nothing else."""
    client = view.client
    place = shown.row.place or (client.place if client else None)
    exercises = [_exercise(n, e, view, place) for n, e in enumerate(shown.exercises, start=1)]
    spotted = [e["name"] for e in exercises if e["spotter"] and e["near_failure"]]
    cautions = ([SPOTTER.format(names=", ".join(spotted))] if spotted else []) + _own_cautions(view) + list(CAUTIONS)
    return {
        "v": 1, "client": client.name if client else "", "title": shown.row.name, "program": view.program.name,
        "for_on": shown.on.isoformat() if shown.on else None, "week_no": shown.row.week_no,
        "place": place.name if place else "", "unit": client.unit if client else "kg",
        "minutes": round(shown.seconds / 60), "note": shown.row.note, "cautions": cautions, "stops": reasons,
        "exercises": exercises,
    }  # fmt: skip


def _own_cautions(view: ProgramView) -> list[str]:
    """What this client must be told because of a precaution in force."""
    codes = view.context.precautions if view.context else ()
    return [BREATHE] if "high_blood_pressure" in codes else []


def _exercise(position: int, view: ExerciseView, of: ProgramView, place: Place | None) -> dict[str, Any]:
    exercise = view.row.exercise
    steps = [_step(step, engine.step_seconds(step, view.prescribed.exercise, of.rules)) for step in view.steps]
    unit = steps[0]["unit"] if steps else "kg"
    near = any(s["to_failure"] or (s["rir"] is not None and s["rir"] <= 1) for s in steps)
    return {
        "position": position, "planned_exercise": view.row.pk, "exercise": exercise.pk, "name": exercise.name,
        "cue": view.row.cue, "group": view.row.group, "scheme": engine.scheme_words(view.scheme),
        "implements": exercise.implements,
        "limbs": exercise.limbs, "spotter": exercise.spotter, "near_failure": near, "rep_kind": exercise.rep_kind,
        "rest_words": _rest_words(steps), "machine": machine_key(exercise, place.pk if place else None),
        "settings": list(view.settings),
        # What the body adds to every load today: logs and estimates keep to it however it changes later.
        "on_body": exercise.equipment_kind == Equipment.Kind.BODYWEIGHT,
        "body_load": body_load(exercise, of.client.body_kg, unit) or None if of.client and unit else None,
        "warmups": [_warmup(step) for step in view.prescribed.warmups], "steps": steps,
        "notes": [engine.sentence(note) for note in view.prescribed.notes if note.kind not in COACH_ONLY],
    }  # fmt: skip


def _rest_words(steps: list[dict[str, Any]]) -> str:
    """'rest 2 min', or the range of rests between sets; nothing for a single set."""
    rests = sorted({s["rest_s"] for s in steps[:-1] if s["rest_s"]})
    if not rests:
        return ""
    words = engine.rest_words(rests[0])
    return f"rest {words}" if len(rests) == 1 else f"rest {words} to {engine.rest_words(rests[-1])}"


def _warmup(step: engine.PrescribedStep) -> dict[str, Any]:
    return {"load": step.load, "unit": step.unit, "setup": step.setup, "reps": step.reps_low}


def _step(step: engine.PrescribedStep, seconds: float) -> dict[str, Any]:
    return {
        "set": step.set_no, "step": step.step_no, "side": step.side, "load": step.load, "unit": step.unit,
        "setup": step.setup, "reps_low": step.reps_low, "reps_high": step.reps_high, "to_failure": step.to_failure,
        # On paper and in the log a range or a set to failure is counted in reps like any other.
        "rep_kind": step.rep_kind if step.rep_kind in ("seconds", "metres") else "reps",
        # What the percentage leaves is a fraction; nobody can judge more than half a rep.
        "rir": None if step.rir is None else round(step.rir * 2) / 2, "rest_s": step.rest_s,
        "expected_amount": None if step.expected_amount is None else round(step.expected_amount, 1),
        "expected_reps": None if step.expected_reps is None else round(step.expected_reps, 2),
        # What the picture beside the lift is drawn from, long after the plan has changed.
        "fraction": None if step.fraction is None else round(step.fraction, 4), "seconds": round(seconds, 1),
        "strength_before": round(step.strength_before, 4), "strength_after": round(step.strength_after, 4),
        "because": [engine.sentence(reason) for reason in step.because],
    }  # fmt: skip
