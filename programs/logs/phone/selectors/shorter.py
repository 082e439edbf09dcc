"""The session made to fit the minutes that are left: what is proposed, and what has to give, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from clients.mapping import house_rules
from coachdesk import engine
from programs.logs.phone.selectors.drops import drop_place, drop_words, drops_for
from programs.logs.phone.selectors.rows import Lift, SetRows
from programs.logs.phone.selectors.session import Session, hurried
from programs.mapping import exercise_traits
from programs.models import Exercise

LEAST, MOST = 5, 180
OFFERED = (15, 20, 25, 30, 40)
SECONDS_PER_REP = 3.0


@dataclass(frozen=True)
class Shortened:
    """A proposal. `left_out`: places of the sheet; `pairs`: 'position-position' done in turn; minutes rounded up.
    `drops`: 'position-load-load' of an exercise done as one set with drops, loads in thousandths.

    `lifts`: the exercises as the page would show them then, so that a phone can show their rests without a signal.
    """

    minutes: int
    before: int
    after: int
    fits: bool
    left_out: tuple[str, ...]
    pairs: tuple[str, ...]
    rest_s: int
    gives: tuple[str, ...]
    drops: tuple[str, ...]
    muscles: tuple[str, ...]
    lifts: tuple[Lift, ...] = ()


def shortened(session: Session, minutes: int) -> Shortened:
    """What is left of the session in so many minutes; sets that are done are not touched."""
    return _proposed(session, (minutes,))[0]


def proposals(session: Session) -> list[Shortened]:
    """What is left of it in each of the minutes that are offered to tap."""
    return _proposed(session, OFFERED)


def _proposed(session: Session, offered: Sequence[int]) -> list[Shortened]:
    lifts = {one.position: one for one in session.lifts if not one.left_out}
    rows = _exercises(list(lifts.values()))
    rules = house_rules(session.sheet.client)
    works = [_work(one, rows[one.exercise], rules) for one in lifts.values() if one.exercise in rows and _todo(one)]
    drops = drops_for(session, lifts[int(works[-1].key)], len(works[-1].sets)) if works else ()
    if drops:
        works[-1] = replace(works[-1], drops=tuple(one.left for one in drops))
    made = [(minutes, engine.shorten(works, minutes * 60.0, rules)) for minutes in offered]
    return [_told(session, lifts, minutes, found, drops) for minutes, found in made]


def _told(
    session: Session, lifts: Mapping[int, Lift], minutes: int, found: engine.Shorter, drops: Sequence[engine.DropSet]
) -> Shortened:
    kept = {int(key): sets for key, sets in found.kept}
    pairs = tuple((int(a), int(b)) for a, b in found.pairs if kept[int(a)] and kept[int(b)])
    chosen = {
        int(found.drops[0]): one for one in drops if found.drops is not None and one.left == found.drops[1]
    }  # fmt: skip
    places = tuple(drop_place(lifts[n], one) for n, one in chosen.items())
    names, rest_s = tuple(f"{a}-{b}" for a, b in pairs), round(found.rest_s or 0)
    return Shortened(
        minutes=minutes, before=_minutes(found.before_s), after=_minutes(found.seconds), fits=found.fits,
        left_out=tuple(row.slot for n, sets in kept.items() for one in _todo(lifts[n])[sets:] for row in one.rows
                       if not row.log and not row.spare),
        pairs=names, rest_s=rest_s, gives=_gives(lifts, kept, pairs, found.rest_s, chosen), drops=places,
        muscles=tuple(f"{engine.muscle(code).name} {now:g} of {was:g} sets" for code, was, now in found.muscles),
        lifts=tuple(hurried(session.lifts, {"pairs": names, "rest_s": rest_s, "drops": places})),
    )  # fmt: skip


def _minutes(seconds: float) -> int:
    return -int(-seconds // 60)


def _exercises(lifts: list[Lift]) -> Mapping[int, Exercise]:
    found = Exercise.objects.filter(pk__in=[one.exercise for one in lifts]).prefetch_related("muscles")
    return {row.pk: row for row in found.order_by("id")}


def _todo(lift: Lift) -> list[SetRows]:
    """Its sets of which anything is still to do."""
    return [one for one in lift.sets if any(not row.log and not row.spare for row in one.rows)]


def _work(lift: Lift, exercise: Exercise, rules: engine.Rules) -> engine.WorkLeft:
    traits, begun = exercise_traits(exercise), lift.done_count > 0
    warmups = 0 if begun or lift.instead_of else len(lift.body["warmups"])
    lead = rules.setup_s + warmups * (rules.warmup_rest_s + 8 * SECONDS_PER_REP)
    done = {row.step.set_no for row in lift.rows if row.log}
    return engine.WorkLeft(
        key=lift.position, muscles=traits.muscles, equipment_kind=traits.equipment_kind,
        lead_s=0.0 if begun else lead, sets=tuple(_set(one) for one in _todo(lift)), done=len(done),
        in_turn=bool(lift.turn),
    )  # fmt: skip


def _set(one: SetRows) -> engine.SetLeft:
    """Its steps still to do with the pauses between them, and the rest after the last."""
    steps = [row.body or {} for row in one.rows if not row.log and not row.spare]
    work = sum(_seconds(step) for step in steps) + sum(step.get("rest_s") or 0 for step in steps[:-1])
    return engine.SetLeft(float(work), float(steps[-1].get("rest_s") or 0))


def _seconds(step: Mapping[str, Any]) -> float:
    """As the sheet says; sheets of an earlier day do not."""
    return step.get("seconds") or SECONDS_PER_REP * (step.get("expected_reps") or step.get("reps_high") or 10)


def _gives(
    lifts: Mapping[int, Lift],
    kept: Mapping[int, int],
    pairs: tuple[tuple[int, int], ...],
    rest_s: float | None,
    drops: Mapping[int, engine.DropSet],
) -> tuple[str, ...]:
    """Every measure in words, what costs least first."""
    found = [f"{lifts[a].name} and {lifts[b].name} in turn, a set of each" for a, b in pairs]
    if rest_s is not None:
        words = engine.rest_words(rest_s)
        found.append(f"no rest longer than {words}: keep the reps in reserve, and do fewer reps where you must")
    for position, sets in kept.items():
        todo = len(_todo(lifts[position]))
        if position in drops:
            found.append(drop_words(lifts[position], drops[position], todo))
        elif not sets and todo and not lifts[position].done_count:
            found.append(f"{lifts[position].name} left out")
        elif sets < todo:
            found.append(f"{lifts[position].name}: {todo - sets} set{'s' if todo - sets > 1 else ''} fewer")
    return tuple(found)
