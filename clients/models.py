"""The people who train, what they may and may not do, and the equipment within their reach."""

import uuid
from typing import ClassVar

from django.db import models

from coachdesk.engine import MUSCLES, PRECAUTIONS, to_kg
from coachdesk.practice.digest import DigestField
from coachdesk.practice.models import Membership, Practice
from coachdesk.practice.text import CleanCharField, CleanTextField

MUSCLE_CHOICES = [(m.code, m.name) for m in MUSCLES]
PRECAUTION_CHOICES = [(p.code, p.name) for p in PRECAUTIONS]
UNITS = [("kg", "kg"), ("lb", "lb")]


class Place(models.Model):
    """Somewhere to train, with its own equipment: a gym, a home, a hotel."""

    class Spotter(models.TextChoices):
        YES = "yes", "yes"
        NO = "no", "no"

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="places")
    name = CleanCharField(max_length=80)
    # A spotter, or a rack with safeties, when the bar is over the body; empty: not known.
    spotter = models.CharField(max_length=3, choices=Spotter.choices, blank=True, default="")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["practice", "name"], name="place_name_once_per_practice")]

    def __str__(self) -> str:
        return self.name


class Equipment(models.Model):
    """One piece of equipment; `spec` is the engine's own JSON value and says which loads exist."""

    class Kind(models.TextChoices):
        BARBELL = "barbell", "bar and plates"
        DUMBBELL = "dumbbell", "dumbbells"
        STACK = "stack", "stack"
        FIXED_BAR = "fixed_bar", "fixed bars"
        BODYWEIGHT = "bodyweight", "body weight"
        BAND = "band", "bands, no units"
        MACHINE = "machine", "machine, no units"

    place = models.ForeignKey(Place, models.CASCADE, related_name="equipment")
    kind = models.CharField(max_length=12, choices=Kind.choices)
    name = CleanCharField(max_length=80)
    unit = models.CharField(max_length=2, choices=UNITS, default="kg")
    spec = models.JSONField()
    # How many can be used at once: bars, pairs of each dumbbell, machines.
    count = models.PositiveSmallIntegerField(default=1)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name_plural = "equipment"
        constraints = [
            models.UniqueConstraint(fields=["place", "name"], name="equipment_name_once_per_place"),
            models.CheckConstraint(condition=models.Q(count__gte=1), name="equipment_count_from_1"),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.place}"


class Client(models.Model):
    """A person who trains. Health-related fields are optional and erasable."""

    class Goal(models.TextChoices):
        SIZE = "size", "size"
        STRENGTH = "strength", "strength"
        HEALTH = "health", "health"
        REHAB = "rehab", "return from injury"

    class Level(models.TextChoices):
        NOVICE = "novice", "novice (under 6 months)"
        INTERMEDIATE = "intermediate", "intermediate (6 months to 3 years)"
        ADVANCED = "advanced", "advanced (over 3 years)"

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="clients")
    coach = models.ForeignKey(Membership, models.PROTECT, related_name="clients")
    # The same in every backup: by it an erased client is known again.
    uid = models.UUIDField(default=uuid.uuid4, editable=False, unique=True)
    name = CleanCharField(max_length=120)
    folded = models.CharField(max_length=240, editable=False, db_index=True)
    born_on = models.DateField(null=True, blank=True)
    goal = models.CharField(max_length=10, choices=Goal.choices, default=Goal.HEALTH)
    level = models.CharField(max_length=12, choices=Level.choices, default=Level.NOVICE)
    training_since_on = models.DateField(null=True, blank=True)
    days_per_week = models.PositiveSmallIntegerField(default=3)
    minutes_per_session = models.PositiveSmallIntegerField(default=60)
    unit = models.CharField(max_length=2, choices=UNITS, default="kg")
    time_zone = models.CharField(max_length=64, default="UTC")
    place = models.ForeignKey(Place, models.SET_NULL, null=True, blank=True, related_name="clients")
    # What body-weight work is counted with from now on; what was logged before keeps the mass of its day.
    body_mass = models.PositiveIntegerField(null=True, blank=True, help_text="thousandths of its unit")
    body_mass_unit = models.CharField(max_length=2, choices=UNITS, default="kg")
    body_mass_on = models.DateField(null=True, blank=True)
    notes = CleanTextField(blank=True, default="")
    archived_on = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["practice", "archived_on", "folded", "id"], name="client_roster")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(days_per_week__gte=1, days_per_week__lte=7), name="client_days_1_to_7"
            ),
            models.CheckConstraint(
                condition=models.Q(minutes_per_session__gte=10, minutes_per_session__lte=240),
                name="client_minutes_10_to_240",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def body_kg(self) -> float | None:
        """Body mass in kg; None when it is not known."""
        return None if self.body_mass is None else to_kg(self.body_mass, self.body_mass_unit)


class Handover(models.Model):
    """A client given from one coach to another; in their order these are the history of who coached them."""

    client = models.ForeignKey(Client, models.CASCADE, related_name="handovers")
    from_coach = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    to_coach = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    handed_by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    handed_at = models.DateTimeField()
    note = CleanTextField(max_length=1000, blank=True, default="")

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(from_coach=None) | ~models.Q(from_coach=models.F("to_coach")),
                name="handover_to_another_coach",
            )
        ]

    def __str__(self) -> str:
        return f"handover of {self.handed_at:%Y-%m-%d}"


class HandoverSeen(models.Model):
    """That the new coach has looked at a handover. Not on the tape, so that looking never stands in an undo's way."""

    handover = models.OneToOneField(Handover, models.CASCADE, related_name="seen")
    seen_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"seen {self.seen_at:%Y-%m-%d}"


class HealthConsent(models.Model):
    """What a client answered when asked whether the desk may keep health notes; the latest answer holds.

    `erased_at`: when the notes were erased after it was withdrawn.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="health_consents")
    asked_on = models.DateField()
    given = models.BooleanField()
    words = CleanTextField(max_length=1000)
    asked_by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    withdrawn_on = models.DateField(null=True, blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(withdrawn_on=None) | models.Q(given=True, withdrawn_on__gte=models.F("asked_on")),
                name="consent_withdrawn_after_given",
            )
        ]

    def __str__(self) -> str:
        return f"consent asked on {self.asked_on}"

    @property
    def holds(self) -> bool:
        return self.given and self.withdrawn_on is None


class RetentionReview(models.Model):
    """The coach's answer to whether a client's data stay past the practice's months: yes, why, and when to ask again.

    The latest holds. There is no answer 'no': that is erasing, which takes these rows too.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="retention_reviews")
    reviewed_on = models.DateField()
    reason = CleanCharField(max_length=200)
    again_on = models.DateField()
    reviewed_by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(again_on__gt=models.F("reviewed_on")), name="review_again_after_it_was_made"
            )
        ]

    def __str__(self) -> str:
        return f"kept until {self.again_on}"


class ClientLink(models.Model):
    """An address that opens one client's own pages, or their calendar, to whoever holds it.

    Only the digest of its token is kept, and that is emptied when it is revoked: nothing brings such a link back.
    `expires_on`: the last day, where the client is, on which it opens.
    """

    class Kind(models.TextChoices):
        PHONE = "phone", "phone page"
        CALENDAR = "calendar", "calendar"

    client = models.ForeignKey(Client, models.CASCADE, related_name="links")
    kind = models.CharField(max_length=8, choices=Kind.choices, default=Kind.PHONE)
    label = CleanCharField(max_length=60)
    # Made with the form: a second press on its button is known again.
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    token_hash = DigestField(
        max_length=64, null=True, blank=True, unique=True, editable=False, help_text="never in an export"
    )
    made_on = models.DateField()
    made_by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    expires_on = models.DateField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["client", "key"], name="link_key_once_per_client"),
            models.CheckConstraint(
                condition=models.Q(expires_on__gte=models.F("made_on")), name="link_expires_after_it_was_made"
            ),
            models.CheckConstraint(
                condition=models.Q(revoked_at=None) | models.Q(token_hash=None), name="link_revoked_has_no_token"
            ),
        ]

    def __str__(self) -> str:
        return self.label


class Screening(models.Model):
    """One round of screening questions, asked on a date; a clearance, if a clinician gave one, has an end."""

    class Outcome(models.TextChoices):
        CLEAR = "clear", "nothing found"
        CLEARED = "cleared", "cleared by a clinician"
        REFER = "refer", "see a clinician first"

    client = models.ForeignKey(Client, models.CASCADE, related_name="screenings")
    asked_on = models.DateField()
    answers = models.JSONField(default=dict, blank=True)
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    expires_on = models.DateField()
    note = CleanTextField(blank=True, default="", max_length=1000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(expires_on__gte=models.F("asked_on")), name="screening_ends_after_it_began"
            )
        ]

    def __str__(self) -> str:
        return f"screening of {self.asked_on}"


class Precaution(models.Model):
    """Something to work around, with the muscle it touches and, where the desk can watch for it, its kind."""

    client = models.ForeignKey(Client, models.CASCADE, related_name="precautions")
    words = CleanCharField(max_length=200)
    code = models.CharField(max_length=30, choices=PRECAUTION_CHOICES, blank=True, default="")
    muscle = models.CharField(max_length=16, choices=MUSCLE_CHOICES, blank=True, default="")
    since_on = models.DateField(null=True, blank=True)
    until_on = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    def __str__(self) -> str:
        return self.words


class MarkedMuscle(models.Model):
    """A muscle the coach marks: to grow (too little is flagged), to hold, or in rehab."""

    class Aim(models.TextChoices):
        GROW = "grow", "grow"
        HOLD = "hold", "hold"
        REHAB = "rehab", "rehab"

    client = models.ForeignKey(Client, models.CASCADE, related_name="marked_muscles")
    muscle = models.CharField(max_length=16, choices=MUSCLE_CHOICES)
    aim = models.CharField(max_length=5, choices=Aim.choices)

    class Meta:
        constraints: ClassVar = [
            models.UniqueConstraint(fields=["client", "muscle"], name="muscle_marked_once_per_client")
        ]

    def __str__(self) -> str:
        return f"{self.muscle}: {self.aim}"


class HouseRule(models.Model):
    """A threshold the coach set otherwise than the desk: for everyone (no client), or for one client.

    `name` is a field of the engine's Rules, `value` what stands in its place: a number, text, or lists of numbers.
    """

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="house_rules")
    client = models.ForeignKey(Client, models.CASCADE, null=True, blank=True, related_name="house_rules")
    name = models.CharField(max_length=60)
    value = models.JSONField()
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["practice", "client", "name"], name="rule_once_per_client"),
            models.UniqueConstraint(
                fields=["practice", "name"], condition=models.Q(client=None), name="rule_once_for_everyone"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.value}"
