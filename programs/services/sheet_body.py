"""What a session sheet holds, as plain JSON: every step with its set-up, last time's numbers, cautions."""

from typing import Any

from clients.models import Equipment, Place
from coachdesk import engine
from programs.mapping import body_load, machine_key
from programs.selectors.last_times import LastTimes
from programs.selectors.prescription import ExerciseView, ProgramView, SessionView

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


def sheet_body(
    shown: SessionView, view: ProgramView, reasons: list[str], last: LastTimes | None = None
) -> dict[str, Any]:
    """The sheet as plain JSON, version 1; logs and the printed page read nothing else.

    `last`: how each exercise went the last time, by its id.
    """
    client = view.client
    place = shown.row.place or (client.place if client else None)
    plan = next((one for one in view.plans if one.key == shown.row.pk), None)
    pieces = {one.key: one.equipment for one in plan.exercises} if plan else {}
    exercises = [
        _exercise(n, e, view, place)
        | {"last": (last or {}).get(e.row.exercise_id), "if_missed": _if_missed(e, pieces.get(e.row.pk), view)}
        for n, e in enumerate(shown.exercises, start=1)
    ]
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
    } | ({"target": [view.scheme.target, view.scheme.target_unit]} if view.scheme.target else {})  # fmt: skip


def _if_missed(view: ExerciseView, piece: Any, of: ProgramView) -> list[dict[str, Any]]:
    """Loads of the second and later sets, each with the lighter one to take when the reps left were missed before.

    `take` is None where nothing lighter can be made. Nothing for work that is not counted in reps, for a single set
    and where the equipment is not known.
    """
    made: dict[tuple[int | None, str], dict[str, Any]] = {}
    firsts = [step for one in view.prescribed.sets[1:] for step in {s.side: s for s in reversed(one)}.values()]
    for step in firsts if piece is not None else ():
        counts = step.rep_kind not in ("seconds", "metres") and not step.to_failure
        row = _lighter(step, piece, of.rules) if counts else None
        if row is not None:
            made.setdefault((step.load, step.setup), row)
    return list(made.values())


def _lighter(step: engine.PrescribedStep, piece: Any, rules: engine.Rules) -> dict[str, Any] | None:
    if isinstance(piece, engine.Ordinal):
        if step.places is None:
            return None
        setup = piece.steps[step.places - 1] if step.places else ""
        return {"load": None, "from": step.setup, "take": None, "unit": "", "setup": setup}
    if step.load is None:
        return None
    body = max(0, (step.system_load or step.load) - step.load)
    take = engine.after_missed_reserve(step.load, rules.rir_missed, 0, piece, rules, body_load=body)
    lighter = take < step.load
    return {
        "load": step.load, "from": step.setup, "take": take if lighter else None, "unit": step.unit,
        "setup": engine.setup_text(piece, take) if lighter else "",
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
