"""Who works here and what they did: users, practices, memberships, sign-in links, acts and changes."""

from typing import Any, ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.core.serializers.json import DjangoJSONEncoder
from django.db import models
from django.db.models.functions import Lower

from coachdesk.practice.text import CleanCharField


class UserManager(BaseUserManager["User"]):
    """Finds a user by e-mail address whatever its case."""

    def get_by_natural_key(self, username: str | None) -> "User":
        return self.get(email=(username or "").strip().lower())


class User(AbstractBaseUser):
    """A person who signs in by e-mail address; without a password only a sign-in link lets them in."""

    email = models.EmailField(unique=True)
    name = CleanCharField(max_length=120)
    is_active = models.BooleanField(default=True)

    # What opens the desk, and when it was opened: no edit and no undo touches it, and the tape does not keep it.
    off_tape: ClassVar[frozenset[str]] = frozenset({"password", "last_login", "is_active"})
    USERNAME_FIELD = "email"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name"]
    objects: ClassVar[UserManager] = UserManager()

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(email=Lower("email")), name="user_email_lower")]

    def __str__(self) -> str:
        return self.name

    def clean(self) -> None:
        super().clean()
        self.email = self.email.strip().lower()


class Practice(models.Model):
    """Coaches who share clients; the root of everything that belongs to somebody."""

    name = CleanCharField(max_length=120)
    unit = models.CharField(max_length=2, choices=[("kg", "kg"), ("lb", "lb")], default="kg")
    time_zone = models.CharField(max_length=64, default="UTC")
    # Empty until somebody chooses: then Letter where loads are pounds, because both are usual in the same countries.
    paper = models.CharField(max_length=6, choices=[("a4", "A4"), ("letter", "Letter")], blank=True, default="")
    # After so long without a session the desk asks whether a client's data stay; common practice, no source.
    retention_months = models.PositiveSmallIntegerField(default=36)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(retention_months__gte=1, retention_months__lte=240),
                name="practice_retention_1_to_240_months",
            )
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def paper_size(self) -> str:
        """'a4' or 'letter'."""
        return self.paper or ("letter" if self.unit == "lb" else "a4")


class Membership(models.Model):
    """One user's place in one practice. Services call it `by`: the person who acts."""

    class Role(models.TextChoices):
        OWNER = "owner", "owner"
        COACH = "coach", "coach"
        ASSISTANT = "assistant", "assistant"

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role.choices)
    assists = models.ManyToManyField("self", symmetrical=False, blank=True, related_name="assistants")
    # An assistant reads; one who may log keeps session logs and issues sheets too.
    may_log = models.BooleanField(default=False)
    # When this person left; null for those who work here. What they did stays theirs.
    left_at = models.DateTimeField(null=True, blank=True)
    # When the owner last made a sign-in address for this person: it goes on the tape with it.
    address_made_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["practice", "user"], name="membership_once_per_practice"),
            models.CheckConstraint(
                condition=models.Q(may_log=False) | models.Q(role="assistant"),
                name="membership_only_assistants_are_let_log",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.user} ({self.role})"

    @property
    def can_write(self) -> bool:
        return self.role != self.Role.ASSISTANT

    @property
    def can_log(self) -> bool:
        """Whether this person may keep session logs and issue sheets."""
        return self.can_write or self.may_log


class SignInLink(models.Model):
    """A single-use link; only the SHA-256 of its token is kept."""

    user = models.ForeignKey(User, models.CASCADE)
    digest = models.CharField(max_length=64, unique=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"sign-in link for {self.user}"


class SignInAttempt(models.Model):
    """A failed sign-in, counted before any password is hashed: hashing is what an attacker would make us do."""

    email = models.CharField(max_length=254, db_index=True)
    at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"failed sign-in at {self.at}"


class Act(models.Model):
    """One thing somebody did, in words; its changes carry the values. Written once, never edited.

    `subject` names the aggregate whose undo stack it belongs to, such as 'program:7'.
    """

    class Kind(models.TextChoices):
        EDIT = "edit", "edit"
        UNDO = "undo", "undo"
        REDO = "redo", "redo"

    practice = models.ForeignKey(Practice, models.CASCADE)
    actor = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True)
    label = CleanCharField(max_length=200)
    subject = models.CharField(max_length=40, blank=True, default="")
    source = models.CharField(max_length=20, default="coach")
    kind = models.CharField(max_length=4, choices=Kind.choices, default=Kind.EDIT)
    at = models.DateTimeField()
    undoes = models.ForeignKey("self", models.SET_NULL, null=True, blank=True, related_name="undone_by")
    is_undone = models.BooleanField(default=False)

    class Meta:
        indexes = [models.Index(fields=["practice", "subject", "id"], name="act_by_subject")]

    def __str__(self) -> str:
        return self.label


class Change(models.Model):
    """One row's fields before and after an act; null before means created, null after means deleted."""

    act = models.ForeignKey(Act, models.CASCADE, related_name="changes")
    model = models.CharField(max_length=60)
    row = models.BigIntegerField()
    before = models.JSONField(null=True, encoder=DjangoJSONEncoder)
    after = models.JSONField(null=True, encoder=DjangoJSONEncoder)

    class Meta:
        indexes = [models.Index(fields=["model", "row", "id"], name="change_by_row")]

    def __str__(self) -> str:
        return f"{self.model} {self.row}"


class Backup(models.Model):
    """A good backup of the whole database that was made: noted here, because several desks may share one database.

    The last one noted counts, whatever the clock said. The files may lie anywhere, and may be gone.
    """

    made_at = models.DateTimeField()
    name = models.CharField(max_length=200)

    def __str__(self) -> str:
        return self.name


Values = dict[str, Any]
