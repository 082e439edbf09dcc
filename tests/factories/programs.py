"""Factories for exercises, programmes and what hangs on them."""

from datetime import date
from typing import Any

import factory
from factory.django import DjangoModelFactory

from coachdesk import engine
from coachdesk.practice.text import fold
from programs.models import (
    Block,
    EvidenceCard,
    Exercise,
    ExerciseMuscle,
    PlannedExercise,
    PlannedSession,
    Program,
    Scheme,
)
from tests.factories.practice import MembershipFactory

MONDAY = date(2026, 11, 23)
STRAIGHT = {
    "kind": "straight", "sets": "3", "load_kind": "percent", "load_value": "75", "reps": "8", "rir": "", "rest": "120",
    "ladder": "",
}  # fmt: skip


def scheme_json(**fields: str) -> dict[str, Any]:
    """Stored JSON of a scheme from flat fields; three sets of eight at 75 % unless told otherwise."""
    return engine.scheme_to_json(engine.scheme_from_fields({**STRAIGHT, **fields}, "kg"))


class ExerciseFactory(DjangoModelFactory[Exercise]):
    """A barbell press that trains chest directly and triceps indirectly."""

    class Meta:
        model = Exercise
        skip_postgeneration_save = True

    code = factory.Sequence(lambda n: f"press_{n}")
    name = factory.Sequence(lambda n: f"Press {n}")
    folded = factory.LazyAttribute(lambda o: fold(o.name))
    pattern = "horizontal_press"
    equipment_kind = "barbell"
    spotter = True

    @factory.post_generation
    def muscles(self, create: bool, extracted: dict[str, int] | None, **kwargs: Any) -> None:
        for code, share in (extracted or {"chest": 1000, "triceps": 500}).items():
            ExerciseMuscle.objects.create(exercise=self, muscle=code, share=share)


class ProgramFactory(DjangoModelFactory[Program]):
    """A template of four weeks; give a client and it starts on MONDAY."""

    class Meta:
        model = Program
        skip_postgeneration_save = True

    coach = factory.SubFactory(MembershipFactory)
    practice = factory.SelfAttribute("coach.practice")
    client = None
    name = factory.Sequence(lambda n: f"Programme {n}")
    start_on = factory.LazyAttribute(lambda o: MONDAY if o.client else None)

    @factory.post_generation
    def weeks(self, create: bool, extracted: int | None, **kwargs: Any) -> None:
        Block.objects.create(program=self, name="Block 1", first_week=1, weeks=extracted or 4)


class PlannedSessionFactory(DjangoModelFactory[PlannedSession]):
    """A session on the Monday of week 1; give `program`."""

    class Meta:
        model = PlannedSession

    class Params:
        program = factory.SubFactory(ProgramFactory)

    block = factory.LazyAttribute(lambda o: o.program.blocks.get())
    week_no = 1
    day = 0
    name = factory.Sequence(lambda n: f"Session {n}")


class PlannedExerciseFactory(DjangoModelFactory[PlannedExercise]):
    """Three sets of eight at 75 % of 1RM."""

    class Meta:
        model = PlannedExercise

    session = factory.SubFactory(PlannedSessionFactory)
    exercise = factory.SubFactory(ExerciseFactory)
    position = factory.Sequence(lambda n: n + 1)
    scheme = factory.LazyFunction(scheme_json)


class SchemeFactory(DjangoModelFactory[Scheme]):
    """A scheme kept by name: a ladder of drops; give `practice`."""

    class Meta:
        model = Scheme

    name = factory.Sequence(lambda n: f"Scheme {n}")
    value = factory.LazyFunction(
        lambda: scheme_json(kind="drop_set", sets="1", load_value="", reps="failure", ladder="80/65/50")
    )


class EvidenceCardFactory(DjangoModelFactory[EvidenceCard]):
    """A card about drop sets in trained men, shipped with the desk unless a practice is given."""

    class Meta:
        model = EvidenceCard

    practice = None
    code = factory.Sequence(lambda n: f"card-{n}")
    title = factory.Sequence(lambda n: f"Finding {n}")
    about = factory.LazyFunction(lambda: ["drop_set", "technique_share"])
    who = "20 trained men."
    training = "trained"
    age_low, age_high = 18, 35
    sex = "men"
    n = 20
    measured = "size"
    exercises = "Bench press"
    patterns = factory.LazyFunction(lambda: ["horizontal_press"])
    protocol = "One drop set against three straight sets for ten weeks."
    outcome = "No difference."
    limits = "Few people."
    citation = "Somebody 2020"
    basis = "seen"
