"""Small groups: clients who train together, on one clock, with the same equipment."""

from django.db import models

from clients.models import Client, Place
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.text import CleanCharField

FEWEST, MOST = 2, 8


class TrainingGroup(models.Model):
    """A group by name, at a place; its members are rows of their own, in the order of the columns."""

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="groups")
    coach = models.ForeignKey(Membership, models.PROTECT, related_name="groups")
    name = CleanCharField(max_length=80)
    place = models.ForeignKey(Place, models.SET_NULL, null=True, blank=True, related_name="groups")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name = "group"

    def __str__(self) -> str:
        return self.name


class GroupMember(models.Model):
    """One client of a group."""

    group = models.ForeignKey(TrainingGroup, models.CASCADE, related_name="members")
    client = models.ForeignKey(Client, models.CASCADE, related_name="group_places")
    position = models.PositiveSmallIntegerField(default=1)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["group", "client"], name="member_once_per_group")]

    def __str__(self) -> str:
        return f"{self.client} in {self.group}"
