"""Sheets of several people in one file: how far issuing them is, so that it can be left, stopped and gone on with."""

from django.db import models

from clients.models import Client, Place
from coachdesk.practice.models import Act, Membership, Practice
from coachdesk.practice.text import CleanCharField
from programs.models.program import PlannedSession
from programs.models.sheet import IssuedSheet


class SheetRun(models.Model):
    """One file to be: which sheets belong in it and how they lie. The file itself is kept nowhere.

    Issued sheets never change, so it is set from them whenever somebody asks for it, by whichever app server is asked;
    nothing lies about that several servers would have to share, or that erasing a client would have to find.
    """

    class State(models.TextChoices):
        RUNNING = "running", "running"
        CANCELLED = "cancelled", "cancelled"
        DONE = "done", "done"

    class Layout(models.TextChoices):
        EACH = "each", "a side for each session"
        TOGETHER = "together", "side by side on one sheet"

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="sheet_runs")
    by = models.ForeignKey(Membership, models.CASCADE, related_name="sheet_runs")
    title = CleanCharField(max_length=200)
    layout = models.CharField(max_length=8, choices=Layout.choices, default=Layout.EACH)
    paper = models.CharField(max_length=6, choices=[("a4", "A4"), ("letter", "Letter")])
    state = models.CharField(max_length=9, choices=State.choices, default=State.RUNNING)
    act = models.ForeignKey(Act, models.SET_NULL, null=True, blank=True, related_name="+")
    began_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [models.Index(fields=["practice", "began_at"], name="sheetrun_by_practice")]

    def __str__(self) -> str:
        return self.title


class RunSheet(models.Model):
    """One session of a run: `waiting` until it has its sheet, or the reason why it gets none."""

    run = models.ForeignKey(SheetRun, models.CASCADE, related_name="rows")
    client = models.ForeignKey(Client, models.CASCADE, related_name="+")
    planned_session = models.ForeignKey(PlannedSession, models.SET_NULL, null=True, blank=True, related_name="+")
    # Where a group trains, whatever place the plan names.
    place = models.ForeignKey(Place, models.SET_NULL, null=True, blank=True, related_name="+")
    position = models.PositiveIntegerField()
    waiting = models.BooleanField(default=True)
    sheet = models.ForeignKey(IssuedSheet, models.SET_NULL, null=True, blank=True, related_name="+")
    left_out = CleanCharField(max_length=300, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run", "position"], name="runsheet_position_once")]

    def __str__(self) -> str:
        return f"row {self.position} of run {self.run_id}"
