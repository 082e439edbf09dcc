"""Programmes: blocks of weeks, planned sessions on days, exercises with their schemes."""

import uuid

from django.db import models

from clients.models import Client, Place
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.text import CleanCharField, CleanTextField
from programs.models.exercise import Exercise

MOST_WEEKS = 52


class Scheme(models.Model):
    """A way of loading sets kept by name; `value` is the engine's JSON."""

    practice = models.ForeignKey(Practice, models.CASCADE, null=True, blank=True, related_name="schemes")
    name = CleanCharField(max_length=80)
    value = models.JSONField()
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return self.name


class Program(models.Model):
    """A programme. Without a client it is a template; with one it starts on a Monday."""

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="programs")
    coach = models.ForeignKey(Membership, models.PROTECT, related_name="programs")
    client = models.ForeignKey(Client, models.CASCADE, null=True, blank=True, related_name="programs")
    name = CleanCharField(max_length=120)
    start_on = models.DateField(null=True, blank=True)
    origin = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="copies")
    # What the copy was made of, and what its changes are held against; a version with copies cannot go.
    origin_version = models.ForeignKey("TemplateVersion", models.RESTRICT, null=True, blank=True, related_name="copies")
    archived_on = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name = "programme"
        indexes = [models.Index(fields=["client", "start_on", "id"], name="program_by_client")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(client=None, start_on=None) | models.Q(client__isnull=False, start_on__isnull=False),
                name="program_with_client_has_start",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_template(self) -> bool:
        return self.client_id is None


class Block(models.Model):
    """A run of weeks with one aim; `first_week` counts from 1."""

    program = models.ForeignKey(Program, models.CASCADE, related_name="blocks")
    name = CleanCharField(max_length=80)
    first_week = models.PositiveSmallIntegerField(default=1)
    weeks = models.PositiveSmallIntegerField()
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(weeks__gte=1, weeks__lte=MOST_WEEKS), name="block_weeks_1_to_52"),
            models.CheckConstraint(condition=models.Q(first_week__gte=1), name="block_first_week_from_1"),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def last_week(self) -> int:
        """The number of its last week in the programme."""
        return self.first_week + self.weeks - 1


class PlannedSession(models.Model):
    """One planned visit: week of the programme (from 1), day (0 Monday to 6), order within the day."""

    block = models.ForeignKey(Block, models.CASCADE, related_name="sessions")
    uid = models.UUIDField(default=uuid.uuid4, editable=False)
    week_no = models.PositiveSmallIntegerField()
    day = models.PositiveSmallIntegerField()
    position = models.PositiveSmallIntegerField(default=1)
    name = CleanCharField(max_length=80)
    place = models.ForeignKey(Place, models.SET_NULL, null=True, blank=True, related_name="+")
    note = CleanTextField(blank=True, default="", max_length=1000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["block", "week_no", "day", "position", "id"], name="session_in_order")]
        constraints = [
            models.CheckConstraint(condition=models.Q(day__lte=6), name="plannedsession_day_0_to_6"),
            models.CheckConstraint(condition=models.Q(week_no__gte=1), name="plannedsession_week_from_1"),
        ]

    def __str__(self) -> str:
        return self.name


class PlannedExercise(models.Model):
    """One exercise of a planned session; `scheme` is the engine's JSON, never queried in the database."""

    session = models.ForeignKey(PlannedSession, models.CASCADE, related_name="exercises")
    uid = models.UUIDField(default=uuid.uuid4, editable=False)
    position = models.PositiveSmallIntegerField(default=1)
    exercise = models.ForeignKey(Exercise, models.PROTECT, related_name="+")
    scheme = models.JSONField()
    # Exercises of a session with the same letter are done in turn, as a superset; empty: on its own.
    group = models.CharField(max_length=1, blank=True, default="")
    cue = CleanCharField(max_length=200, blank=True, default="")
    private_note = CleanTextField(blank=True, default="", max_length=1000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["session", "position", "id"], name="exercise_in_order")]

    def __str__(self) -> str:
        return f"{self.exercise} in {self.session}"
