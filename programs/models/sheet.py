"""What was handed out, and what a coach decided about a flag."""

import uuid

from django.db import models

from clients.models import Client
from coachdesk.practice.models import Membership
from coachdesk.practice.text import CleanTextField
from programs.models.program import PlannedSession, Program


class IssuedSheet(models.Model):
    """An immutable copy of every prescribed step, made when a sheet is shown or printed; logs point to it."""

    client = models.ForeignKey(Client, models.CASCADE, related_name="sheets")
    planned_session = models.ForeignKey(PlannedSession, models.SET_NULL, null=True, related_name="sheets")
    uid = models.UUIDField(default=uuid.uuid4, editable=False, unique=True)
    for_on = models.DateField()
    issued_at = models.DateTimeField()
    digest = models.CharField(max_length=64)
    body = models.JSONField()

    class Meta:
        indexes = [models.Index(fields=["client", "for_on", "id"], name="sheet_by_client_day")]

    def __str__(self) -> str:
        return f"sheet for {self.for_on}"

    @property
    def cost(self) -> float:
        """How much room the sheet needs, in rows of sets: decides how closely it is set to stay on one side."""
        lifts = self.body["exercises"]
        rows = sum(len(one["steps"]) for one in lifts)
        # Sheets of an earlier day know neither the last time nor what to do when the reps left are missed.
        notes = sum(len(one["notes"]) + bool(one.get("last")) + bool(one.get("if_missed")) for one in lifts)
        lines = len(self.body["stops"]) + bool(self.body["note"])
        return rows + 1.4 * len(lifts) + 0.6 * notes + 0.7 * lines


class FlagDecision(models.Model):
    """A flag set aside with a reason. `flag_id` holds the flag's numbers, so it returns when they change."""

    program = models.ForeignKey(Program, models.CASCADE, related_name="flag_decisions")
    flag_id = models.CharField(max_length=40)
    code = models.CharField(max_length=40)
    why = CleanTextField(max_length=1000)
    by = models.ForeignKey(Membership, models.SET_NULL, null=True)
    at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["program", "flag_id"], name="flag_decided_once")]

    def __str__(self) -> str:
        return f"{self.code}: {self.why}"
