"""A template handed to many clients: how far it is, so that it can be left, stopped and gone on with."""

from django.db import models

from coachdesk.practice.models import Act, Membership, Practice
from programs.models.program import Program
from programs.models.version import TemplateVersion


class Rollout(models.Model):
    """One assignment to many: `act` records the copies, `waiting` client ids to do, `failed` those left out and why.

    Not on the tape itself: it says how the work goes, and what it wrote stands in its act.
    """

    class State(models.TextChoices):
        RUNNING = "running", "running"
        STOPPED = "stopped", "stopped"
        CANCELLED = "cancelled", "cancelled"
        DONE = "done", "done"

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="rollouts")
    by = models.ForeignKey(Membership, models.CASCADE, related_name="rollouts")
    program = models.ForeignKey(Program, models.CASCADE, related_name="rollouts")
    of = models.ForeignKey(TemplateVersion, models.CASCADE, related_name="rollouts")
    start_on = models.DateField()
    state = models.CharField(max_length=9, choices=State.choices, default=State.RUNNING)
    act = models.ForeignKey(Act, models.SET_NULL, null=True, blank=True, related_name="+")
    waiting = models.JSONField(default=list, blank=True)
    done = models.PositiveIntegerField(default=0)
    failed = models.JSONField(default=list, blank=True, help_text="pairs of client's id and reason")
    problem = models.CharField(max_length=300, blank=True, default="")
    began_at = models.DateTimeField()
    beat_at = models.DateTimeField(help_text="when it last wrote something")
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["program", "id"], name="rollout_by_template")]

    def __str__(self) -> str:
        return f"{self.of} of {self.program} to {self.total} clients"

    @property
    def total(self) -> int:
        return self.done + len(self.failed) + len(self.waiting)
