"""What the logs say of a client that flags on plans need; logs live above this app and write it down here."""

from django.db import models

from clients.models import Client


class TrainingFacts(models.Model):
    """One row a client, worked out anew with every change to the logs, never edited. `value` is JSON, version 1:

    weeks: Monday -> muscle -> fractional sets however near to failure, of the last eight weeks with sets;
    techniques: Mondays of weeks with sets of several bouts; lifts: exercise id -> hardest recent set (kg, reps,
    rir), weeks it was done in, places; last_on: day of the last session with sets; sets: usual sets in a session;
    days: day -> sessions, and rating x minutes (None when one was not rated); reports: RIR of the latest twenty
    sets; minutes: taken by planned.
    """

    client = models.OneToOneField(Client, models.CASCADE, related_name="training_facts")
    value = models.JSONField(default=dict)

    class Meta:
        verbose_name_plural = "training facts"

    def __str__(self) -> str:
        return f"training facts of client {self.client_id}"
