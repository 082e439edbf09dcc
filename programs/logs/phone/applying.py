"""How each thing said on a phone becomes rows, through the services that the desk itself writes with."""

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import ValidationError

from clients.services.stale import StaleForm
from coachdesk import engine
from programs.logs.mapping import LABELS, DoneStep, SheetStep, done_as_written, done_otherwise, sheet_exercises
from programs.logs.models import SessionLog, SetLog
from programs.logs.phone.entries import Entry, Hurt, Rated, SetCleared, SetDone, Shortened, Skipped, Swapped
from programs.logs.phone.selectors.stand_ins import stand_ins_of
from programs.logs.phone.visit import NO_SUCH_SET, Aside, Visit, step_at
from programs.logs.services import edit_session_log, edit_set, log_set, record_pain, remove_set, skip_session


def apply(visit: Visit, entry: Entry) -> None:
    """Write what was said. Raises Aside where somebody wrote otherwise, ValidationError for what cannot be."""
    _APPLY[type(entry)](visit, entry)


def _set(visit: Visit, entry: SetDone) -> None:
    log = visit.worked()
    done = done_of(step_at(visit.sheet, log, entry.slot), entry)
    there = _row_of(log, done)
    if there is None and entry.over:
        raise Aside(f"Set {done.set_no} was taken out on the desk meanwhile.")
    if there is None:
        _refuse_other_sides(log, done)
        visit.resume(log, entry.slot)
        log_set(by=None, session_log=log, key=visit.key, step=done, now=visit.now)
    elif entry.over:
        values = {"load": done.load, "setting": done.setting, "reps": done.reps, "rir": done.rir}
        _unless_stale(
            there, lambda: edit_set(by=None, set_log=there, version=entry.over, values=values, now=visit.now)
        )  # fmt: skip
    elif not _same(there, done):
        raise Aside(f"Set {done.set_no} was logged already: {done_words(there)}.")


def done_of(step: SheetStep, entry: SetDone) -> DoneStep:
    """The step as it was done. ValidationError where a number is missing that the sheet does not give."""
    if entry.as_written:
        written = done_as_written(step, rir=entry.rir)
        if written is None or step.stands_in:
            raise ValidationError("The sheet gives no number for this set; type what was done.")
        return written
    load = step.load if entry.load is None else entry.load
    if entry.reps is None:
        raise ValidationError("Type how many were done.")
    if load is None and step.needs_load:
        raise ValidationError("Type the load: none was planned for this.")
    return done_otherwise(step, load=load, reps=entry.reps, rir=entry.rir, setting=entry.setting)


def _row_of(log: SessionLog, done: DoneStep) -> SetLog | None:
    here = log.sets.filter(position=done.position, set_no=done.set_no, step_no=done.step_no)
    return here.filter(side=done.side).select_related("session_log__client", "session_log__sheet", "exercise").first()


def _refuse_other_sides(log: SessionLog, done: DoneStep) -> None:
    """A set of both sides and one of a single side would count the same work twice."""
    others = ("l", "r") if done.side == "b" else ("b",)
    here = log.sets.filter(position=done.position, set_no=done.set_no, step_no=done.step_no, side__in=others)
    there = here.first()
    if there is not None:
        sides = "both sides together" if there.side == "b" else "one side apart"
        raise Aside(f"Set {done.set_no} was logged already, {sides}: {done_words(there)}.")


def _same(there: SetLog, done: DoneStep) -> bool:
    mine = (done.exercise, done.load, done.setting, done.reps, done.rir)
    return mine == (there.exercise_id, there.load, there.setting, there.reps, there.rir)


def done_words(row: SetLog) -> str:
    """'80 kg x 8, RIR 2', '30 s', 'medium x 12'."""
    amount = f"{row.reps}" if row.rep_kind == "reps" else f"{row.reps} {LABELS[row.rep_kind]}"
    load = row.setting or (engine.load_in_words(row.load, row.unit) if row.load else "")
    rir = "" if row.rir is None else f", RIR {row.rir:g}"
    return f"{load} x {amount}{rir}" if load else f"{amount}{' reps' if row.rep_kind == 'reps' else ''}{rir}"


def _unless_stale(row: Any, change: Callable[[], object]) -> None:
    try:
        change()
    except StaleForm:
        now = done_words(row) if isinstance(row, SetLog) else "other values"
        raise Aside(f"It was changed on the desk meanwhile: {now}.") from None


def _clear(visit: Visit, entry: SetCleared) -> None:
    log = visit.log()
    there = _row_of(log, _any(step_at(visit.sheet, log, entry.slot))) if log else None
    if there is None:
        return  # taken out before
    if there.version != entry.over:
        raise Aside(f"It was changed meanwhile: {done_words(there)}.")
    remove_set(by=None, set_log=there, version=entry.over, now=visit.now)


def _any(step: SheetStep) -> DoneStep:
    return done_otherwise(step, load=None, reps=1, rir=None)


def _skip(visit: Visit, entry: Skipped) -> None:
    if not entry.place:
        _skip_session(visit, entry.why)
        return
    lifts = sheet_exercises(visit.sheet.body)
    if entry.place not in {str(one.position) for one in lifts} | {s.slot for one in lifts for s in one.steps}:
        raise ValidationError(NO_SUCH_SET)
    log = visit.opened()
    if "-" in entry.place and _row_of(log, _any(step_at(visit.sheet, log, entry.place))):
        raise ValidationError("This set is logged; take it out first, then say why it was left out.")
    for place in _places_left(visit, log, entry):
        visit.depart(log, place, why=entry.why)


def _places_left(visit: Visit, log: SessionLog, entry: Skipped) -> list[str]:
    """An exercise of which some sets were done is left out set by set; taken back, both ways of saying it go."""
    done = set(log.sets.values_list("position", "set_no", "step_no"))
    if "-" in entry.place or (entry.why and int(entry.place) not in {position for position, _, _ in done}):
        return [entry.place]
    steps = [s for one in sheet_exercises(visit.sheet.body) if str(one.position) == entry.place for s in one.steps]
    left = [s.slot for s in steps if (s.position, s.set_no, s.step_no) not in done]
    swapped = log.departures.filter(place=entry.place).exclude(instead=None).exists()
    return left if entry.why or swapped else [entry.place, *left]


def _skip_session(visit: Visit, why: str) -> None:
    log, missed = visit.log(), visit.missed()
    if missed is not None:
        if why and missed.skipped_why != why:
            raise Aside(f"It was skipped already: {missed.skipped_why}.")
        if not why:
            visit.tape.delete(visit.tape.lock(missed))
    elif log is None:
        if why:
            key = visit.missed_key
            skip_session(by=None, sheet=visit.sheet, key=key, skipped_why=why, on=visit.day, now=visit.now)
    elif log.sets.exists():
        visit.depart(log, "", why=why)
    else:
        visit.set_status(log, SessionLog.Status.SKIPPED if why else SessionLog.Status.DONE, why)


def _swap(visit: Visit, entry: Swapped) -> None:
    log = visit.opened()
    offered = {} if entry.exercise is None else {one.pk for one in stand_ins_of(visit.sheet, entry.position)}
    if entry.exercise is not None and entry.exercise not in offered:
        raise ValidationError("This exercise is not among those that may stand in here; choose one of them.")
    if entry.position not in {one.position for one in sheet_exercises(visit.sheet.body)}:
        raise ValidationError("This sheet has no such exercise; load the page again.")
    visit.depart(log, str(entry.position), instead=entry.exercise, why=entry.why)


def _pain(visit: Visit, entry: Hurt) -> None:
    log = visit.opened()
    exercise = None
    if entry.position is not None:
        last = log.sets.filter(position=entry.position).order_by("-id").first()
        if last is None:
            raise ValidationError("Log a set of it first, or say the pain of the whole session.")
        exercise = last.exercise_id
    values = {"pain": entry.pain}
    try:
        record_pain(
            by=None, session_log=log, exercise_id=exercise, version=entry.over, values=values, now=visit.now
        )  # fmt: skip
    except StaleForm as stale:
        raise Aside(f"Pain was written already: {stale.conflicts[0].theirs}.") from None


def _rate(visit: Visit, entry: Rated) -> None:
    values = {name: v for name, v in (("rating", entry.rating), ("minutes", entry.minutes)) if v is not None}
    if not values:
        raise ValidationError({"rating": "Choose how hard it was, 0 to 10."})
    log = visit.opened()
    known = {name: getattr(log, name) for name, value in values.items() if getattr(log, name) not in (None, value)}
    if known and not entry.over:
        raise Aside(f"It was written already: {_named(known)}.")
    try:
        edit_session_log(
            by=None, session_log=log, version=entry.over or log.version, values=values, now=visit.now
        )  # fmt: skip
    except StaleForm as stale:
        raise Aside(f"It was changed meanwhile: {_named({c.field: c.theirs for c in stale.conflicts})}.") from None


def _named(values: Mapping[str, Any]) -> str:
    """'rating 7, minutes 50'."""
    return ", ".join(f"{name} {value}" for name, value in values.items())


SHORT = "no time: "


def _shorten(visit: Visit, entry: Shortened) -> None:
    """Sets are left out as they would be one by one; what was left out by another shortening comes back first."""
    log = visit.opened()
    places = {s.slot for one in sheet_exercises(visit.sheet.body) for s in one.steps}
    if not set(entry.left_out) <= places:
        raise ValidationError(NO_SUCH_SET)
    for row in log.departures.filter(why__startswith=SHORT).order_by("id"):
        visit.depart(log, row.place)
    done = {f"{row.position}-{row.set_no}-{row.step_no}-{row.side}" for row in log.sets.order_by("id")}
    for place in entry.left_out:
        if place not in done:
            visit.depart(log, place, why=f"{SHORT}{entry.minutes} min")


_APPLY: dict[type[Any], Callable[[Visit, Any], None]] = {
    SetDone: _set, SetCleared: _clear, Skipped: _skip, Swapped: _swap, Hurt: _pain, Rated: _rate,
    Shortened: _shorten,
}  # fmt: skip
