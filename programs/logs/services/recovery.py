"""How fast a client's strength comes back between sets, from the sets done and the rests that their sheets gave."""

from collections.abc import Iterable
from itertools import groupby
from typing import Any

from coachdesk import engine
from programs.logs.evidence import NOT_LOADED
from programs.logs.models import SessionLog
from programs.logs.services.set_rows import SetRow

# The newest exercises with sets enough; more would cost more than they teach.
MOST_SESSIONS = 40
Place = tuple[int, int]


def recovery_of(rows: list[SetRow]) -> dict[str, float]:
    """{'pace', 'sd', 'n'}: rests count `pace` times, by `n` exercises done. 1 while RIR answers say nothing.

    `rows`: a client's sets in order. Straight sets of both sides together count, fresh bouts only; not supersets,
    whose rests other work fills.
    """
    found = [(key, done) for key, done in _exercises(rows) if _speaks(done)][-MOST_SESSIONS:]
    if not found or not engine.honesty(_answers(rows)).informative:
        return _value(engine.Recovery())
    rests = _rests({session for (session, _), _ in found})
    sessions = []
    for key, done in found:
        mine = rests.get(key)
        if mine is not None:
            sessions.append((tuple(_bout(row, mine.get(row.set_no)) for row in done), done[0].endurance))
    return _value(engine.learn_recovery(sessions))


def _value(found: engine.Recovery) -> dict[str, float]:
    return {"pace": round(found.pace, 2), "sd": round(found.sd, 2), "n": found.sessions}


def _exercises(rows: list[SetRow]) -> Iterable[tuple[Place, list[SetRow]]]:
    """((session log, position), its sets in order), oldest first."""
    in_order = sorted(rows, key=lambda row: (row.on, row.session, row.position, row.set_no, row.step_no, row.side))
    for key, done in groupby(in_order, lambda row: (row.session, row.position)):
        yield key, list(done)


def _speaks(done: list[SetRow]) -> bool:
    """Straight sets with a load, the first of known effort and one more."""
    straight = all(
        row.step_no == 1 and row.side == "b" and row.rep_kind == "reps" and row.moved and row.reps > 0
        and (row.body_load is not None or row.equipment not in NOT_LOADED) and row.exercise == done[0].exercise
        for row in done
    )  # fmt: skip
    told = [row.told_rir is not None for row in done]
    return straight and done[0].set_no == 1 and told[0] and sum(told) > 1


def _answers(rows: list[SetRow]) -> list[engine.Observation]:
    """The newest typed answers, back to the first that is another than the last: nothing older is asked about."""
    typed = [row for row in rows if row.rir and row.moved and row.reps > 0]
    other = next((n for n in range(len(typed) - 1, -1, -1) if typed[n].rir != typed[-1].rir), 0)
    return [engine.Observation(row.on, engine.to_kg(row.moved, row.unit), row.reps, row.rir) for row in typed[other:]]


def _rests(sessions: set[int]) -> dict[Place, dict[int, float]]:
    """By (session log, position): seconds of rest after each set, from the sheet the session was done from."""
    found: dict[Place, dict[int, float]] = {}
    logs = SessionLog.objects.filter(pk__in=sessions, sheet__isnull=False)
    for pk, exercises in logs.values_list("pk", "sheet__body__exercises"):
        for one in exercises or ():
            if not one.get("group"):
                found[pk, one["position"]] = _after_sets(one["steps"])
    return found


def _after_sets(steps: list[dict[str, Any]]) -> dict[int, float]:
    return {step["set"]: float(step.get("rest_s") or 0) for step in steps}


def _bout(row: SetRow, rest_s: float | None) -> engine.Bout:
    return engine.Bout(engine.to_kg(row.moved, row.unit), row.reps, row.told_rir, rest_s or 0.0)
