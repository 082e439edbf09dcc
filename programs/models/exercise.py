"""Exercises: movements, the muscles they train, how they are loaded, and what may stand in for them."""

from django.db import models

from clients.models import MUSCLE_CHOICES, Equipment
from coachdesk.engine import muscle
from coachdesk.practice.models import Practice
from coachdesk.practice.text import CleanCharField, CleanTextField


class Exercise(models.Model):
    """A movement. Library rows belong to no practice and are copied on change."""

    class Limbs(models.TextChoices):
        TWO = "two", "both sides at once"
        ONE = "one", "one side at a time"

    class RepKind(models.TextChoices):
        REPS = "reps", "repetitions"
        SECONDS = "seconds", "seconds"
        METRES = "metres", "metres"

    practice = models.ForeignKey(Practice, models.CASCADE, null=True, blank=True, related_name="exercises")
    code = models.SlugField(max_length=60)
    name = CleanCharField(max_length=80)
    folded = models.CharField(max_length=160, editable=False, db_index=True)
    description = CleanTextField(blank=True, default="", max_length=1000)
    pattern = models.CharField(max_length=30)
    equipment_kind = models.CharField(max_length=12, choices=Equipment.Kind.choices)
    implements = models.PositiveSmallIntegerField(default=1)
    limbs = models.CharField(max_length=3, choices=Limbs.choices, default=Limbs.TWO)
    rep_kind = models.CharField(max_length=7, choices=RepKind.choices, default=RepKind.REPS)
    endurance = models.FloatField(default=1.0)
    body_share = models.PositiveSmallIntegerField(default=0, help_text="thousandths of the body mass that are moved")
    body_basis = CleanCharField(max_length=120, blank=True, default="", help_text="where the share comes from")
    spotter = models.BooleanField(default=False)
    easier = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="harder")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["practice", "code"], name="exercise_code_once_per_practice"),
            models.UniqueConstraint(
                fields=["code"], condition=models.Q(practice=None), name="exercise_code_once_in_library"
            ),
            models.CheckConstraint(condition=models.Q(implements__in=[1, 2]), name="exercise_implements_1_or_2"),
            models.CheckConstraint(condition=models.Q(body_share__lte=1000), name="exercise_body_share_to_1"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def body_percent(self) -> float:
        return self.body_share / 10

    @property
    def pattern_words(self) -> str:
        return self.pattern.replace("_", " ")

    @property
    def shares(self) -> list[dict[str, object]]:
        """Muscle names with what a set counts, direct ones first."""
        rows = sorted(self.muscles.all(), key=lambda m: (-m.share, m.muscle))
        return [{"name": muscle(m.muscle).name, "share": m.share / 1000} for m in rows]

    @property
    def direct_words(self) -> str:
        return ", ".join(str(m["name"]) for m in self.shares if m["share"] == 1)

    @property
    def indirect_words(self) -> str:
        return ", ".join(str(m["name"]) for m in self.shares if m["share"] != 1)

    @property
    def ranked_substitutes(self) -> list["Exercise"]:
        return [s.substitute for s in sorted(self.substitutes.all(), key=lambda s: (s.rank, s.pk))]

    @property
    def easier_chain(self) -> list["Exercise"]:
        """The movements one, two and more steps easier; a chain that runs in a ring ends where it began."""
        chain: list[Exercise] = []
        here = self.easier
        while here is not None and here != self and here not in chain:
            chain.append(here)
            here = here.easier
        return chain

    @property
    def substitute_words(self) -> str:
        return ", ".join(s.name for s in self.ranked_substitutes)


class ExerciseMuscle(models.Model):
    """How much of a set of this exercise counts for a muscle, in thousandths: direct 1000, indirect 500."""

    exercise = models.ForeignKey(Exercise, models.CASCADE, related_name="muscles")
    muscle = models.CharField(max_length=16, choices=MUSCLE_CHOICES)
    share = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["exercise", "muscle"], name="muscle_once_per_exercise"),
            models.CheckConstraint(
                condition=models.Q(share__gt=0, share__lte=1000), name="exercisemuscle_share_above_0_to_1"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.muscle} {self.share / 1000:g}"


class Substitute(models.Model):
    """What may stand in for an exercise, best first."""

    exercise = models.ForeignKey(Exercise, models.CASCADE, related_name="substitutes")
    substitute = models.ForeignKey(Exercise, models.CASCADE, related_name="+")
    rank = models.PositiveSmallIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["exercise", "substitute"], name="substitute_once_per_exercise")]

    def __str__(self) -> str:
        return f"{self.rank}. {self.substitute}"
