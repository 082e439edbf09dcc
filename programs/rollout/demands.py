"""What a template asks of whoever gets it, worked out once: maxima, equipment, days, minutes, and what it touches."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from coachdesk import engine
from programs.bodies import Body
from programs.selectors.body_plans import Traits, plans_of
from programs.selectors.prescription import NOBODY

# A stand-in for a client's own maximum and bar: sessions last about as long whatever the loads, warm-ups included.
STAND_IN = engine.Strength(mean_kg=100.0, low_kg=95.0, high_kg=105.0, sd_log=0.03)
ANY_LOAD = engine.Stack("Any load", "kg", tuple(range(1_000, 301_000, 1_000)))


@dataclass(frozen=True)
class Demands:
    """By exercise id. `kinds`: the place of a session (None: the client's own) -> kinds of equipment it needs.

    `against`: precaution's code -> exercises; `near_failure`: muscle -> exercises that train it near failure.
    """

    names: Mapping[int, str]
    maxima: tuple[int, ...]
    kinds: Mapping[int | None, Mapping[str, tuple[int, ...]]]
    days: int
    minutes: float
    weeks: int
    against: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    near_failure: Mapping[str, tuple[int, ...]] = field(default_factory=dict)

    @property
    def places(self) -> set[int]:
        """Places that sessions name themselves."""
        return {place for place in self.kinds if place is not None}


def demands_of(body: Body, traits: Traits, rules: engine.Rules) -> Demands:
    """Three passes of the engine over the template, whoever and however many may get it."""
    ids = {uid: one.values["exercise_id"] for uid, one in body.exercises.items()}
    plans = plans_of(body, traits, strength=STAND_IN, equipment=ANY_LOAD)
    answer = engine.prescribe_weeks(plans, NOBODY, rules)
    against, near = _cares(plans, traits, rules, ids)
    days: dict[int, set[int]] = {}
    for plan in plans:
        days.setdefault(plan.week_no, set()).add(plan.day)
    return Demands(
        names={pk: one.name for pk, one in traits.items()},
        maxima=_without_maximum(body, traits, rules, ids),
        kinds=_kinds(body, traits),
        days=max((len(one) for one in days.values()), default=0),
        minutes=max((session.seconds / 60 for session in answer.sessions), default=0.0),
        weeks=body.weeks,
        against=against,
        near_failure=near,
    )


def _unique(found: Iterable[int]) -> tuple[int, ...]:
    return tuple(dict.fromkeys(found))


def _without_maximum(body: Body, traits: Traits, rules: engine.Rules, ids: Mapping[str, int]) -> tuple[int, ...]:
    """Exercises whose loads cannot be told without the client's maximum, in order."""
    flags = engine.find_flags(plans_of(body, traits, equipment=ANY_LOAD), NOBODY, rules)
    return _unique(ids[str(f.where.exercise_key)] for f in flags if f.code == "maximum_unknown")


def _kinds(body: Body, traits: Traits) -> dict[int | None, dict[str, tuple[int, ...]]]:
    made: dict[int | None, dict[str, tuple[int, ...]]] = {}
    for one in body.exercises.values():
        known = traits.get(one.values["exercise_id"])
        if known is None or known.equipment_kind in engine.ALWAYS_THERE:
            continue
        place = body.sessions[one.session].values["place_id"]
        there = made.setdefault(place, {})
        there[known.equipment_kind] = _unique((*there.get(known.equipment_kind, ()), one.values["exercise_id"]))
    return made


def _cares(
    plans: tuple[engine.SessionPlan, ...], traits: Traits, rules: engine.Rules, ids: Mapping[str, int]
) -> tuple[dict[str, tuple[int, ...]], dict[str, tuple[int, ...]]]:
    """(precaution -> exercises, muscle -> exercises), as the flags on a client's own programme would say it."""
    codes = {kind.name[0].lower() + kind.name[1:]: kind.code for kind in engine.PRECAUTIONS}
    everything = engine.Context(
        precautions=tuple(codes.values()), limited=tuple(muscle.code for muscle in engine.MUSCLES)
    )
    against: dict[str, list[int]] = {}
    near: list[int] = []
    for flag in engine.find_flags(plans, NOBODY, rules, everything):
        pk = ids.get(str(flag.where.exercise_key), 0)
        kind = flag.because.kind
        if kind == "precaution":
            against.setdefault(codes[str(dict(flag.numbers)["precaution"])], []).append(pk)
        elif kind == "breath_hold":
            against.setdefault("high_blood_pressure", []).append(pk)
        elif kind == "precaution_near_failure":
            near.append(pk)
    # The flag names one muscle under a precaution; whom another one concerns is told by what the exercise trains.
    by_muscle: dict[str, list[int]] = {}
    for pk in near:
        for code in (code for code, share in traits[pk].muscles if share >= 1):
            by_muscle.setdefault(code, []).append(pk)
    first, second = ({code: _unique(rows) for code, rows in found.items()} for found in (against, by_muscle))
    return first, second
