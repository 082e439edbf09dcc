"""The engine's plans of a programme kept as plain values: versions and states that have no rows."""

from collections.abc import Iterable, Mapping

from coachdesk import engine
from programs.bodies import Body
from programs.mapping import exercise_traits
from programs.models import Exercise

Traits = Mapping[int, engine.ExerciseTraits]


def traits_of(bodies: Iterable[Body]) -> dict[int, engine.ExerciseTraits]:
    """The movements of these programmes that there still are; two queries."""
    wanted = {one.values["exercise_id"] for body in bodies for one in body.exercises.values()}
    return {row.pk: exercise_traits(row) for row in Exercise.objects.filter(pk__in=wanted).prefetch_related("muscles")}


def plans_of(
    body: Body, traits: Traits, *, strength: engine.Strength | None = None, equipment: engine.Equipment | None = None
) -> tuple[engine.SessionPlan, ...]:
    """Its sessions by uid, in order, every exercise with the same strength and equipment; movements gone left out."""
    inside: dict[str, list[engine.ExercisePlan]] = {uid: [] for uid in body.sessions}
    for one in body.exercises.values():
        known = traits.get(one.values["exercise_id"])
        if known is not None:
            inside[one.session].append(
                engine.ExercisePlan(
                    one.uid, known, engine.scheme_from_json(one.values["scheme"]), strength, equipment,
                    group=one.values["group"],
                )
            )  # fmt: skip
    return tuple(
        engine.SessionPlan(s.uid, 7 * (s.when[0] - 1) + s.when[1], s.values["name"], tuple(inside[s.uid]))
        for s in body.sessions.values()
    )
