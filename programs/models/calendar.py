"""What stands in a client's calendar beside sessions: days away entered ahead, test days, dates to peak for."""

from django.db import models

from clients.models import Client
from coachdesk.practice.text import CleanCharField
from programs.models.exercise import Exercise


class Absence(models.Model):
    """Days on which the client is away or ill, both ends included."""

    class Kind(models.TextChoices):
        HOLIDAY = "holiday", "holiday"
        ILLNESS = "illness", "illness"
        TRAVEL = "travel", "travel"
        OTHER = "other", "away"

    # Nobody trains as usual then: such weeks say nothing of habit, and coming back is coming back from a layoff.
    UNTRAINED = (Kind.HOLIDAY, Kind.ILLNESS)

    client = models.ForeignKey(Client, models.CASCADE, related_name="absences")
    first_on = models.DateField()
    last_on = models.DateField()
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.HOLIDAY)
    note = CleanCharField(max_length=200, blank=True, default="")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["client", "first_on", "id"], name="absence_by_client")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last_on__gte=models.F("first_on")), name="absence_ends_after_it_began"
            )
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} from {self.first_on} to {self.last_on}"


class ClientDate(models.Model):
    """A day to train towards: a maximum test (of one exercise, or of several without one), or a peak."""

    class Kind(models.TextChoices):
        TEST = "test", "test of maxima"
        PEAK = "peak", "date to peak for"

    client = models.ForeignKey(Client, models.CASCADE, related_name="dates")
    on = models.DateField()
    kind = models.CharField(max_length=4, choices=Kind.choices, default=Kind.TEST)
    exercise = models.ForeignKey(Exercise, models.SET_NULL, null=True, blank=True, related_name="client_dates")
    note = CleanCharField(max_length=200, blank=True, default="")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["client", "on", "id"], name="clientdate_by_client")]

    def __str__(self) -> str:
        return self.words

    @property
    def words(self) -> str:
        """'Test: Back squat', 'Test of maxima', 'Peak: county meet'."""
        return self.words_for(self.kind, self.exercise.name if self.exercise else "", self.note)

    @classmethod
    def words_for(cls, kind: str, exercise: str, note: str) -> str:
        """The same of the columns alone, for rows that came without the object."""
        if kind == cls.Kind.PEAK:
            return f"Peak: {note}" if note else "Date to peak for"
        return f"Test: {exercise}" if exercise else "Test of maxima"
