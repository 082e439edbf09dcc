"""What a client can lift: what was observed, and the estimate with its doubt."""

from django.db import models

from clients.models import UNITS, Client
from coachdesk.engine import load_in_words
from programs.models.exercise import Exercise

SIDES = [("b", "both"), ("l", "left"), ("r", "right")]


class StrengthObservation(models.Model):
    """One piece of evidence about a maximum: a test, or one set of a session's log.

    `source_uid` names the session log it came from (logs live above this app), null for a test. `to_failure`: the
    set was planned to go on to failure. `load` is what was lifted, below 0 assistance; `body_load` the body's share of
    that day, so that a new body mass changes nothing that was seen before (null: body-weight work of an unknown mass,
    which says nothing of a maximum).
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="strength_observations", db_index=False)
    exercise = models.ForeignKey(Exercise, models.PROTECT, related_name="+")
    side = models.CharField(max_length=1, choices=SIDES, default="b")
    machine = models.CharField(max_length=80, blank=True, default="")
    on = models.DateField()
    load = models.IntegerField(help_text="thousandths of the unit")
    body_load = models.PositiveIntegerField(null=True, blank=True, default=0, help_text="thousandths of the unit")
    unit = models.CharField(max_length=2, choices=UNITS)
    reps = models.PositiveSmallIntegerField()
    rir = models.FloatField(null=True, blank=True)
    lower_bound = models.BooleanField(default=False)
    is_test = models.BooleanField(default=False)
    to_failure = models.BooleanField(default=False)
    strength_before = models.FloatField(default=1.0)
    source_uid = models.UUIDField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        # By client first, both: what is written for one client lies together however many there are.
        indexes = [
            models.Index(fields=["client", "exercise", "side", "on", "id"], name="observation_in_order"),
            models.Index(fields=["client", "source_uid"], name="observation_by_session"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(body_load=None) | models.Q(load__gt=-models.F("body_load")),
                name="observation_moves_something",
            ),
            models.CheckConstraint(condition=models.Q(reps__gte=1), name="observation_reps_from_1"),
        ]

    def __str__(self) -> str:
        return f"{self.exercise} {load_in_words(self.load, self.unit)} x {self.reps}"

    @property
    def moved(self) -> int | None:
        """What was moved, in thousandths of the unit, the body's share included; None when that is not known."""
        return None if self.body_load is None else self.load + self.body_load


class TimedBest(models.Model):
    """The longest hold or the farthest carry at a load, tested fresh; what timed steps are predicted from.

    `amount` in the exercise's seconds or metres; `load` in thousandths of the unit, 0 for the body alone.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="timed_bests")
    exercise = models.ForeignKey(Exercise, models.PROTECT, related_name="+")
    side = models.CharField(max_length=1, choices=SIDES, default="b")
    on = models.DateField()
    load = models.IntegerField(default=0, help_text="thousandths of the unit")
    unit = models.CharField(max_length=2, choices=UNITS)
    kind = models.CharField(max_length=7, choices=[("seconds", "seconds"), ("metres", "metres")])
    amount = models.PositiveSmallIntegerField()
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["client", "exercise", "on", "id"], name="timedbest_in_order")]
        constraints = [models.CheckConstraint(condition=models.Q(amount__gte=1), name="timedbest_amount_from_1")]

    def __str__(self) -> str:
        load = f" {load_in_words(self.load, self.unit)}" if self.load else ""
        return f"{self.exercise}{load}, {self.amount_words}"

    @property
    def amount_words(self) -> str:
        return f"{self.amount} {'m' if self.kind == 'metres' else 's'}"


class StrengthEstimate(models.Model):
    """The estimate of a 1RM as of its last observation, in kg: worked out anew from the observations, never edited.

    `endurance` (repetition capacity) and its sd are null until learned from loads far enough apart.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="strength_estimates")
    exercise = models.ForeignKey(Exercise, models.PROTECT, related_name="+")
    side = models.CharField(max_length=1, choices=SIDES, default="b")
    machine = models.CharField(max_length=80, blank=True, default="")
    mean_kg = models.FloatField()
    low_kg = models.FloatField()
    high_kg = models.FloatField()
    sd_log = models.FloatField()
    trend_per_week = models.FloatField()
    p_rising = models.FloatField()
    last_on = models.DateField()
    count = models.PositiveIntegerField()
    endurance = models.FloatField(null=True, blank=True)
    endurance_sd = models.FloatField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["client", "exercise", "side", "machine"], name="estimate_once_per_key")
        ]

    def __str__(self) -> str:
        return f"{self.exercise}: {self.mean_kg:.1f} kg"

    @property
    def percent_a_week(self) -> float:
        return 100 * self.trend_per_week
