"""What the engine prescribed, in the few words a cell has room for."""

from collections.abc import Iterable, Sequence

from coachdesk import engine

Steps = Sequence[engine.PrescribedStep]


def load_words(sets: Iterable[Steps]) -> str:
    """The loads of every set, once when all are alike: '70, 72.5, 75 kg'; steps of one set: '80/65/50 kg'."""
    parts, unit = [], ""
    for steps in sets:
        # Plain body weight is said by the set-up, not as a load of nothing.
        loads = [_load(s) for s in steps]
        unit = next((s.unit for s in steps if s.load is not None), unit)
        parts.append("/".join(loads))
    if not parts or all(set(part) <= {"-", "/"} for part in parts):
        return ""
    if len(set(parts)) == 1:
        parts = parts[:1]
    words = ", ".join(parts)
    return words if words.endswith("assistance") else f"{words} {unit}".strip()


def _load(step: engine.PrescribedStep) -> str:
    if not step.load:
        return "-"
    return engine.load_in_words(step.load, step.unit) if step.load < 0 else engine.format_load(step.load)


def effort_words(sets: Iterable[Steps]) -> str:
    """What to expect of every step: reps where it goes to failure, else the reserve left: 'RIR 2.4, 1.2, 0.3'."""
    reps, reserve, amounts = [], [], []
    for steps in sets:
        amounts += [_amount(s) for s in steps if s.expected_amount is not None]
        if any(s.expected_reps is None for s in steps):
            continue
        if any(s.to_failure for s in steps):
            reps.append("/".join(f"{s.expected_reps:.0f}" for s in steps))
        elif steps and steps[-1].rir_expected is not None:
            reserve.append(f"{max(0.0, steps[-1].rir_expected):.1f}")
    words = []
    if reps:
        words.append(f"reps {', '.join(reps)}")
    if amounts:
        words.append(f"expected {', '.join(amounts)}")
    if reserve:
        words.append(f"RIR {', '.join(reserve[:1] if len(set(reserve)) == 1 else reserve)}")
    return "; ".join(words)


def _amount(step: engine.PrescribedStep) -> str:
    return f"{step.expected_amount:.0f} {'s' if step.rep_kind == 'seconds' else 'm'}"


def rep_words(step: engine.PrescribedStep) -> str:
    """'8', '6-8', 'at least 5', 'to failure', '30 s', '20 m'."""
    if step.to_failure:
        return "to failure"
    if step.rep_kind == "at_least":
        return f"at least {step.reps_low}"
    unit = {"seconds": " s", "metres": " m"}.get(step.rep_kind, "")
    low, high = step.reps_low, step.reps_high
    return f"{low if low == high or high is None else f'{low}-{high}'}{unit}"


def flag_where(flag: engine.Flag, sessions: dict[object, str], exercises: dict[object, str]) -> str:
    """Where a flag points: 'week 4, Upper A, Bench press, chest'."""
    where = flag.where
    weeks = flag.weeks or ((where.week_no,) if where.week_no else ())
    parts = [f"week {weeks[0]}" if len(weeks) == 1 else f"weeks {weeks[0]} to {weeks[-1]}"] if weeks else []
    parts += [sessions[where.session_key]] if where.session_key in sessions else []
    parts += [exercises[where.exercise_key]] if where.exercise_key in exercises else []
    parts += [engine.muscle(where.muscle).name] if where.muscle else []
    return ", ".join(parts)
