"""Versions of a template: what it was at a moment, kept as it was."""

from django.core.exceptions import ValidationError
from django.db import models

from coachdesk.practice.models import Membership
from coachdesk.practice.text import CleanCharField
from programs.models.program import Program


class TemplateVersion(models.Model):
    """A template as somebody saved it; written once, never changed. `body` is the JSON of `programs.bodies`."""

    program = models.ForeignKey(Program, models.CASCADE, related_name="versions")
    number = models.PositiveIntegerField()
    note = CleanCharField(max_length=200, blank=True, default="")
    by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    at = models.DateTimeField()
    body = models.JSONField()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["program", "number"], name="version_number_once_per_template"),
            models.CheckConstraint(condition=models.Q(number__gte=1), name="templateversion_number_from_1"),
        ]

    def __str__(self) -> str:
        return f"version {self.number}"

    def clean(self) -> None:
        super().clean()
        if self.pk is not None:
            raise ValidationError(f"Version {self.number} is saved and stays as it is; save another version instead.")
