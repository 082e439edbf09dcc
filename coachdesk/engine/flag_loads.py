"""Flags on loads: not makeable, drops left out, maxima not known."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache

from .because import Because
from .constants import source
from .errors import EngineError
from .flag_tools import weeks_words
from .flags import Edit, Flag, Remedy, Where
from .plans import ClientTraits, ExercisePlan, SessionPlan
from .prescribe import _prescribe
from .prescribed import PrescribedExercise
from .rules import Rules
from .scheme import Scheme
from .scheme_edits import with_effort, with_loads_as_made, without_last_drop
from .summary import SessionSummary

Found = tuple[SessionSummary, ExercisePlan, PrescribedExercise, Because]
_CODES = {
    "not_makeable": "load_not_makeable",
    "reps_out_of_range": "load_not_makeable",
    "drop_removed": "drop_removed",
    "no_maximum": "maximum_unknown",
}


def load_flags(sessions: Sequence[SessionSummary], client: ClientTraits, rules: Rules) -> list[Flag]:
    """One flag a code and exercise (and numbers, for loads), over all weeks."""
    groups: dict[tuple[object, ...], list[Found]] = {}
    for one in sessions:
        for plan, made in one.noted:
            seen = set()
            for note in made.notes:
                code = _CODES.get(note.kind)
                if code and code not in seen:
                    seen.add(code)
                    detail = note if code == "load_not_makeable" else None
                    groups.setdefault((code, plan.exercise.key, detail), []).append((one, plan, made, note))
    return [_flag(str(key[0]), found, client, rules) for key, found in groups.items()]


def _flag(code: str, found: list[Found], client: ClientTraits, rules: Rules) -> Flag:
    one, plan, _, note = found[0]
    make = _REMEDY[code]
    edits = [Edit("exercise", p.key, "scheme", make(p, made, client, rules)) for _, p, made, _ in found]
    severity = {"maximum_unknown": "check", "drop_removed": "note"}.get(code) or _load_severity(plan)
    numbers = (("exercise", plan.exercise.name), *note.numbers)
    because = Because("maximum_unknown", numbers) if code == "maximum_unknown" else note
    where = Where(one.plan.week_no, one.plan.key, plan.key, None)
    weeks = tuple(sorted({s.plan.week_no for s, _, _, _ in found}))
    tail = weeks_words(weeks) if len(weeks) > 1 else ""
    remedy = Remedy(_LABELS[code].format(exercise=plan.exercise.name) + tail, tuple(edits))
    return Flag(code, severity, where, numbers, because, _SOURCES[code], (remedy,), weeks)


def _load_severity(plan: ExercisePlan) -> str:
    step = plan.scheme.step
    return "check" if step and step.load.kind == "fixed" else "note"


def _as_made(plan: ExercisePlan, made: PrescribedExercise, client: ClientTraits, rules: Rules) -> Scheme:
    loads = tuple(steps[0].load for steps in made.sets)
    return with_loads_as_made(plan.scheme, loads, made.sets[0][0].unit)


def _by_effort(plan: ExercisePlan, made: PrescribedExercise, client: ClientTraits, rules: Rules) -> Scheme:
    return with_effort(plan.scheme, rules.untrained_rir if client.is_careful(rules.older_age) else 2)


@lru_cache(maxsize=2048)
def _fewer_drops(plan: ExercisePlan, client: ClientTraits, rules: Rules) -> Scheme:
    scheme = plan.scheme
    for _ in range(20 * 12):  # more drops than any scheme holds
        tried = SessionPlan("", 0, "", (replace(plan, scheme=scheme),))
        notes = _prescribe(tried, client, rules).exercises[0].notes
        if not any(note.kind == "drop_removed" for note in notes):
            break
        try:
            scheme = without_last_drop(scheme)
        except EngineError:
            break
    return scheme


def _without_removed(plan: ExercisePlan, made: PrescribedExercise, client: ClientTraits, rules: Rules) -> Scheme:
    return _fewer_drops(plan, client, rules)


_REMEDY: dict[str, Callable[[ExercisePlan, PrescribedExercise, ClientTraits, Rules], Scheme]] = {
    "load_not_makeable": _as_made,
    "drop_removed": _without_removed,
    "maximum_unknown": _by_effort,
}
_LABELS = {
    "load_not_makeable": "Write the loads of {exercise} that can be made",
    "drop_removed": "Take out the drops of {exercise} that no load is left for",
    "maximum_unknown": "Let reps and RIR decide the load of {exercise}",
}
_SOURCES = {
    "load_not_makeable": source("far_off_above"),
    "drop_removed": "the loads this equipment can make",
    "maximum_unknown": "no logged set or test for this exercise",
}
