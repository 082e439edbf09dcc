"""What was really done: session logs, set logs, and the weekly sums worked out from them."""

import uuid

from django.db import models

from clients.models import MUSCLE_CHOICES, UNITS, Client, Equipment, Place
from coachdesk.practice.models import Act, Membership, Practice
from coachdesk.practice.text import CleanCharField, CleanTextField
from programs.models import Block, Exercise, IssuedSheet, PlannedSession
from programs.models.strength import SIDES


class SessionLog(models.Model):
    """One visit that happened, or was missed. `key` is made by whoever logs it, so a replay is recognised."""

    class Status(models.TextChoices):
        DONE = "done", "done"
        SKIPPED = "skipped", "skipped"

    # The indexes below begin with it, as those of sets and weeks do: one of its own would only cost room and time.
    client = models.ForeignKey(Client, models.CASCADE, related_name="session_logs", db_index=False)
    sheet = models.ForeignKey(IssuedSheet, models.SET_NULL, null=True, blank=True, related_name="logs")
    planned_session = models.ForeignKey(PlannedSession, models.SET_NULL, null=True, blank=True, related_name="logs")
    # What no sheet says: how a session is called that was not planned, and where it was.
    name = CleanCharField(max_length=80, blank=True, default="")
    place = models.ForeignKey(Place, models.SET_NULL, null=True, blank=True, related_name="+")
    # Where it is taken to have been where nothing else is said, as plan and client stood when it was logged: a client
    # who moves on does not take the sessions of old along.
    usual_place = models.ForeignKey(Place, models.SET_NULL, null=True, blank=True, editable=False, related_name="+")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    done_on = models.DateField()
    time_zone = models.CharField(max_length=64, default="UTC")
    logged_at = models.DateTimeField()
    status = models.CharField(max_length=7, choices=Status.choices, default=Status.DONE)
    minutes = models.PositiveSmallIntegerField(null=True, blank=True)
    rating = models.PositiveSmallIntegerField(null=True, blank=True)
    skipped_why = CleanCharField(max_length=200, blank=True, default="")
    note = CleanTextField(blank=True, default="", max_length=2000)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["client", "done_on", "id"], name="sessionlog_by_client_day")]
        constraints = [
            models.UniqueConstraint(fields=["client", "key"], name="sessionlog_key_once_per_client"),
            models.CheckConstraint(
                condition=models.Q(rating=None) | models.Q(rating__lte=10), name="sessionlog_rating_0_to_10"
            ),
        ]

    def __str__(self) -> str:
        return f"session of {self.done_on}"

    @property
    def title(self) -> str:
        """Its own name, else that of its sheet, else 'Session'."""
        return self.name or (str(self.sheet.body.get("title", "")) if self.sheet else "") or "Session"

    @property
    def where(self) -> Place | None:
        """The place it was done at: its own, else that of its plan, else where the client usually trained then."""
        return self.place or self.usual_place

    @property
    def where_id(self) -> int | None:
        """The id of `where`, without looking it up."""
        return self.place_id or self.usual_place_id


class SetLog(models.Model):
    """One step that was done, narrow for ten million rows. `reps` holds reps, seconds or metres by `rep_kind`.

    Loads below 0 are assistance; `body_load` is what the body added that day (null: no body in it, or not known).
    `setting`: the band, or the place on a machine without units.
    """

    session_log = models.ForeignKey(SessionLog, models.CASCADE, related_name="sets", db_index=False)
    client = models.ForeignKey(Client, models.CASCADE, related_name="+", db_index=False)
    exercise = models.ForeignKey(Exercise, models.PROTECT, related_name="+")
    key = models.UUIDField(default=uuid.uuid4, editable=False)
    done_on = models.DateField()
    position = models.PositiveSmallIntegerField()
    set_no = models.PositiveSmallIntegerField()
    step_no = models.PositiveSmallIntegerField(default=1)
    side = models.CharField(max_length=1, choices=SIDES, default="b")
    rep_kind = models.CharField(max_length=7, default="reps")
    planned_load = models.IntegerField(null=True, blank=True)
    planned_reps = models.PositiveSmallIntegerField(null=True, blank=True)
    planned_rir = models.FloatField(null=True, blank=True)
    load = models.IntegerField(null=True, blank=True)
    body_load = models.PositiveIntegerField(null=True, blank=True)
    setting = CleanCharField(max_length=60, blank=True, default="")
    unit = models.CharField(max_length=2, choices=UNITS, default="kg")
    reps = models.PositiveSmallIntegerField()
    rir = models.FloatField(null=True, blank=True)
    as_written = models.BooleanField(default=False)
    failed = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [
            models.Index(fields=["client", "done_on", "id"], name="setlog_by_client_day"),
            models.Index(fields=["session_log", "position", "set_no", "step_no"], name="setlog_in_order"),
        ]
        constraints = [
            models.UniqueConstraint(fields=["client", "key"], name="setlog_key_once_per_client"),
            models.CheckConstraint(condition=models.Q(reps__gte=0), name="setlog_reps_not_negative"),
            models.CheckConstraint(
                condition=models.Q(rir=None) | models.Q(rir__gte=0, rir__lte=10), name="setlog_rir_0_to_10"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.exercise_id} set {self.set_no}.{self.step_no}"

    @property
    def on_body(self) -> bool:
        """Whether its load may be assistance."""
        return self.exercise.equipment_kind == Equipment.Kind.BODYWEIGHT

    @property
    def moved(self) -> int:
        """What was moved, in thousandths of the unit, the body's part included as far as it is known; never below 0."""
        return max(0, (self.load or 0) + (self.body_load or 0))


class Departure(models.Model):
    """Where a session left its sheet, and why: left out, or another exercise done instead.

    `place`: '2-1-1-b' one step of the sheet, '2' an exercise by its position, '' the rest of the session.
    """

    session_log = models.ForeignKey(SessionLog, models.CASCADE, related_name="departures")
    place = models.CharField(max_length=24, blank=True, default="")
    instead = models.ForeignKey(Exercise, models.PROTECT, null=True, blank=True, related_name="+")
    why = CleanCharField(max_length=200, blank=True, default="")

    class Meta:
        constraints = [models.UniqueConstraint(fields=["session_log", "place"], name="departure_once_per_place")]

    def __str__(self) -> str:
        return f"departure at {self.place or 'the rest'}"


class PlanGap(models.Model):
    """A session was logged from a sheet that the plan had left: changed after it was issued, or not there any more.

    Found when a set is logged; the coach is told until they have seen it, or until the plan says again what the sheet
    says. `issued` and `plan`: SHA-256, in hex, of what the sheet and the plan said then; `plan` '' where it was gone.
    """

    session_log = models.OneToOneField(SessionLog, models.CASCADE, related_name="plan_gap")
    issued = models.CharField(max_length=64, editable=False)
    plan = models.CharField(max_length=64, blank=True, default="", editable=False)
    found_at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)
    seen_by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(seen_by=None) | models.Q(seen_at__isnull=False), name="plangap_seen_has_its_time"
            )
        ]

    def __str__(self) -> str:
        return f"plan gap of session log {self.session_log_id}"


class LogImport(models.Model):
    """A CSV file of sets that was read in: its act, how its columns and words were matched, and what is left to do.

    Not on the tape itself: what it wrote stands in its act. `waiting`: [client id, days] whose sums are still to be
    worked out; days [] are the client's estimates and facts, last. `columns`: column by folded heading; `words`:
    exercise id by folded wording; both are taken for the next file.
    """

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="log_imports")
    by = models.ForeignKey(Membership, models.CASCADE, related_name="log_imports")
    key = models.UUIDField(default=uuid.uuid4, editable=False, unique=True)
    source = CleanCharField(max_length=80, blank=True, default="")
    act = models.ForeignKey(Act, models.SET_NULL, null=True, blank=True, related_name="+")
    columns = models.JSONField(default=dict, blank=True)
    words = models.JSONField(default=dict, blank=True)
    counts = models.JSONField(default=dict, blank=True, help_text="new, changed, same, bad, clients, sessions")
    waiting = models.JSONField(default=list, blank=True)
    total = models.PositiveIntegerField(default=0, help_text="how many pieces of work there were")
    problem = models.CharField(max_length=300, blank=True, default="")
    at = models.DateTimeField()
    beat_at = models.DateTimeField(help_text="when it last wrote something")

    class Meta:
        indexes = [models.Index(fields=["by", "id"], name="logimport_by_member")]

    def __str__(self) -> str:
        return f"sets from {self.source or 'a CSV file'}"

    @property
    def handled(self) -> int:
        """Pieces of work done."""
        return self.total - len(self.waiting)


class PhoneEntry(models.Model):
    """One thing said on a client's phone, under the key that the phone made; the same again is answered with this row.

    Not on the tape itself: what it wrote stands in its act, and undoing that must not make a replay look new.
    `aside`: why it was not taken over, in words; what was sent stays in `payload` for the coach to read. `sent`: the
    SHA-256, in hex, of the item that a queue sent; a plain form has none.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="phone_entries")
    sheet = models.ForeignKey(IssuedSheet, models.SET_NULL, null=True, blank=True, related_name="phone_entries")
    key = models.UUIDField(editable=False)
    kind = models.CharField(max_length=10)
    payload = models.JSONField(default=dict, blank=True)
    at = models.DateTimeField(help_text="when the desk kept it")
    done_on = models.DateField(help_text="the day it was said, where the client is")
    aside = CleanCharField(max_length=300, blank=True, default="")
    sent = models.CharField(max_length=64, blank=True, default="", editable=False)

    class Meta:
        indexes = [models.Index(fields=["sheet", "id"], name="phoneentry_by_sheet")]
        constraints = [models.UniqueConstraint(fields=["client", "key"], name="phoneentry_key_once_per_client")]

    def __str__(self) -> str:
        return f"{self.kind} of {self.done_on}"


class ClientMessage(models.Model):
    """What a client wrote to their coach from the phone, and the answer."""

    client = models.ForeignKey(Client, models.CASCADE, related_name="messages")
    sheet = models.ForeignKey(IssuedSheet, models.SET_NULL, null=True, blank=True, related_name="messages")
    text = CleanTextField(max_length=1000)
    sent_at = models.DateTimeField()
    answer = CleanTextField(max_length=1000, blank=True, default="")
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="+")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        indexes = [models.Index(fields=["client", "id"], name="message_by_client")]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(answer="", answered_at=None) | models.Q(answered_at__isnull=False),
                name="clientmessage_answer_has_its_time",
            )
        ]

    def __str__(self) -> str:
        return f"message of {self.sent_at:%Y-%m-%d}"


class MuscleWeek(models.Model):
    """A client's muscle in a week (by its Monday), worked out anew from the logs when one of them changes.

    Sets in thousandths; volume load in thousandths of kg and of lb, kept apart.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="muscle_weeks", db_index=False)
    monday = models.DateField()
    muscle = models.CharField(max_length=16, choices=MUSCLE_CHOICES)
    sets = models.PositiveIntegerField(default=0)
    sets_low = models.PositiveIntegerField(default=0)
    sets_high = models.PositiveIntegerField(default=0)
    volume_kg = models.PositiveBigIntegerField(default=0)
    volume_lb = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["client", "monday", "muscle"], name="muscleweek_once")]

    def __str__(self) -> str:
        return f"{self.muscle}, week of {self.monday}"


class ExerciseWeek(models.Model):
    """A client's exercise in a week (by its Monday); units as in MuscleWeek."""

    client = models.ForeignKey(Client, models.CASCADE, related_name="exercise_weeks", db_index=False)
    monday = models.DateField()
    exercise = models.ForeignKey(Exercise, models.PROTECT, related_name="+")
    sets = models.PositiveIntegerField(default=0)
    reps = models.PositiveIntegerField(default=0)
    volume_kg = models.PositiveBigIntegerField(default=0)
    volume_lb = models.PositiveBigIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["client", "monday", "exercise"], name="exerciseweek_once")]

    def __str__(self) -> str:
        return f"{self.exercise_id}, week of {self.monday}"


class ClientNeed(models.Model):
    """How much a client needs the coach: worked out for a day `on`, kept so that a roster is one query however long.

    Never edited and not on the tape. Whatever it follows from raises `marked` in the same transaction; it is up to date
    when `worked` is the same and `on` is today. `score` in thousandths of a point; `codes`, `muscles`, `precautions`:
    words between spaces, to be found by; `origin`: the id of the template that the programme was made of. `value` is
    what the roster shows (`programs.logs.selectors.needs`).
    """

    client = models.OneToOneField(Client, models.CASCADE, related_name="need")
    on = models.DateField(null=True)
    marked = models.PositiveIntegerField(default=1)
    worked = models.PositiveIntegerField(default=0)
    score = models.PositiveIntegerField(default=0)
    codes = models.TextField(blank=True, default="")
    muscles = models.TextField(blank=True, default="")
    precautions = models.TextField(blank=True, default="")
    origin = models.PositiveBigIntegerField(null=True)
    ends_on = models.DateField(null=True)
    last_on = models.DateField(null=True)
    value = models.JSONField(default=dict)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=models.Q(worked__lte=models.F("marked")), name="clientneed_worked_what_was_marked"
            )
        ]

    def __str__(self) -> str:
        return f"need of client {self.client_id}"


class RosterView(models.Model):
    """A filter of the roster kept under a name: for oneself, or shared with the practice.

    `filters`: name of a field -> {"value", "words"}, the words as they were when it was kept; what was searched for by
    name is not kept, because names are clients'. It outlives the coach who kept it (`owner` null): `owner_name` stays.
    """

    practice = models.ForeignKey(Practice, models.CASCADE, related_name="roster_views")
    owner = models.ForeignKey(Membership, models.SET_NULL, null=True, blank=True, related_name="roster_views")
    owner_name = CleanCharField(max_length=120, blank=True, default="")
    name = CleanCharField(max_length=60)
    filters = models.JSONField(default=dict, blank=True)
    is_shared = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["owner", "name"], name="rosterview_name_once_per_owner")]

    def __str__(self) -> str:
        return self.name


class BlockNote(models.Model):
    """What a coach writes into the report of a block, or of some of its weeks (counted from the block's first).

    The numbers of a report are never kept: they show what stands on the day. `steps`: what comes next as chosen, a list
    of {"code", "words"}; `with_pain`: whether the pain that was reported goes home with it.
    """

    client = models.ForeignKey(Client, models.CASCADE, related_name="block_notes")
    block = models.ForeignKey(Block, models.CASCADE, related_name="notes")
    first_week = models.PositiveSmallIntegerField()
    last_week = models.PositiveSmallIntegerField()
    note = CleanTextField(blank=True, default="", max_length=2000)
    steps = models.JSONField(blank=True, default=list)
    next_note = CleanTextField(blank=True, default="", max_length=1000)
    with_pain = models.BooleanField(default=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["block", "first_week", "last_week"], name="blocknote_once_per_weeks"),
            models.CheckConstraint(
                condition=models.Q(first_week__gte=1, last_week__gte=models.F("first_week")),
                name="blocknote_weeks_in_order",
            ),
        ]

    def __str__(self) -> str:
        return f"note to the report of block {self.block_id}"
