"""What a client said about pain: during an exercise or a session, and the next morning."""

from django.db import models

from clients.models import Client
from coachdesk.practice.text import CleanCharField
from programs.models.exercise import Exercise


class PainReport(models.Model):
    """Pain from 0 to 10 on a day, of one exercise or (no exercise) of the session as a whole.

    `source_uid` is the key of the session log it came with; logs live above this app.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="pain_reports")
    exercise = models.ForeignKey(Exercise, models.PROTECT, null=True, blank=True, related_name="+")
    on = models.DateField()
    pain = models.PositiveSmallIntegerField()
    next_morning = models.PositiveSmallIntegerField(null=True, blank=True)
    note = CleanCharField(max_length=200, blank=True, default="")
    source_uid = models.UUIDField(db_index=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["client", "on", "id"], name="pain_by_client_day")]
        constraints = [
            models.CheckConstraint(condition=models.Q(pain__lte=10), name="pain_0_to_10"),
            models.CheckConstraint(
                condition=models.Q(next_morning=None) | models.Q(next_morning__lte=10), name="pain_next_morning_0_to_10"
            ),
            models.UniqueConstraint(fields=["client", "source_uid", "exercise"], name="pain_once_per_exercise"),
            models.UniqueConstraint(
                fields=["client", "source_uid"], condition=models.Q(exercise=None), name="pain_once_per_session"
            ),
        ]

    def __str__(self) -> str:
        morning = "" if self.next_morning is None else f", {self.next_morning} the next morning"
        return f"pain {self.pain} of 10{morning}"
