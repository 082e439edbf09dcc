"""Evidence cards: who was studied, how exactly it was done, what came out, and what it cannot say."""

from django.db import models

from coachdesk.practice.models import Practice
from coachdesk.practice.text import CleanCharField, CleanTextField


class EvidenceCard(models.Model):
    """One study or document. Shipped cards belong to no practice and are copied on change.

    `about` lists codes of scheme kinds, house rules, constants and flags; `patterns` the movement patterns studied.
    A copy keeps the code of its origin, and stands in for it in its practice.
    """

    class Training(models.TextChoices):
        UNTRAINED = "untrained", "untrained"
        TRAINED = "trained", "trained"
        MIXED = "mixed", "trained and untrained"

    class Sex(models.TextChoices):
        MEN = "men", "men only"
        WOMEN = "women", "women only"
        BOTH = "both", "men and women"

    class Measured(models.TextChoices):
        SIZE = "size", "muscle size"
        STRENGTH = "strength", "strength"
        REPS = "reps", "repetitions"
        RECOVERY = "recovery", "fatigue and recovery"
        TIME = "time", "time"
        JUDGEMENT = "judgement", "judging effort"
        HEALTH = "health", "health and safety"
        LOAD = "load", "load of training"

    class Basis(models.TextChoices):
        SEEN = "seen", "seen"
        REPORT = "report", "a report of it seen"
        MEMORY = "memory", "from memory"

    practice = models.ForeignKey(Practice, models.CASCADE, null=True, blank=True, related_name="evidence_cards")
    origin = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="copies")
    code = models.SlugField(max_length=60)
    title = CleanCharField(max_length=160)
    about = models.JSONField(default=list, blank=True)
    who = CleanTextField(max_length=500)
    training = models.CharField(max_length=10, choices=Training.choices, blank=True, default="")
    age_low = models.PositiveSmallIntegerField(null=True, blank=True)
    age_high = models.PositiveSmallIntegerField(null=True, blank=True)
    sex = models.CharField(max_length=6, choices=Sex.choices, blank=True, default="")
    n = models.PositiveIntegerField(null=True, blank=True)
    measured = models.CharField(max_length=10, choices=Measured.choices, blank=True, default="")
    exercises = CleanCharField(max_length=300, blank=True, default="")
    patterns = models.JSONField(default=list, blank=True)
    protocol = CleanTextField(max_length=2000)
    outcome = CleanTextField(max_length=2000)
    limits = CleanTextField(max_length=2000)
    citation = CleanCharField(max_length=300)
    doi = CleanCharField(max_length=100, blank=True, default="")
    basis = models.CharField(max_length=6, choices=Basis.choices)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["practice", "code"], name="evidence_code_once_per_practice"),
            models.UniqueConstraint(
                fields=["code"], condition=models.Q(practice=None), name="evidence_code_once_in_library"
            ),
            models.CheckConstraint(
                condition=models.Q(age_low=None)
                | models.Q(age_high=None)
                | models.Q(age_low__lte=models.F("age_high")),
                name="evidence_ages_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_shipped(self) -> bool:
        return self.practice_id is None

    @property
    def ages(self) -> str:
        """'18 to 35 years', '65 years and over', 'up to 20 years', or '' where it is not known."""
        if self.age_low is not None and self.age_high is not None:
            return f"{self.age_low} to {self.age_high} years"
        if self.age_low is not None:
            return f"{self.age_low} years and over"
        return f"up to {self.age_high} years" if self.age_high is not None else ""
