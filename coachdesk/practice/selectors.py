"""Reading the practice: coaches, whose clients a member sees, what was done, and when it was backed up."""

from datetime import datetime, timedelta

from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Q, QuerySet, Subquery

from coachdesk.practice.models import Act, Backup, Membership, Practice, User

# A day and two hours: a daily backup may take its time before anybody is told.
BACKUP_LIFE = timedelta(hours=26)
FIRST_DAY = timedelta(days=1)


def coaches(desk: Membership) -> QuerySet[Membership]:
    """Those who answer for clients: owners and coaches who work in this practice, by name."""
    return staff(desk).filter(left_at=None).exclude(role=Membership.Role.ASSISTANT)


def staff(desk: Membership) -> QuerySet[Membership]:
    """Everybody who works in this practice or did, by name."""
    rows = Membership.objects.filter(practice_id=desk.practice_id)
    return rows.select_related("user").order_by("user__name", "id")


def assisted(desk: Membership) -> QuerySet[Membership]:
    """The coaches whom an assistant assists, by name."""
    return desk.assists.filter(left_at=None).select_related("user").order_by("user__name", "id")


def has_left(user: User) -> bool:
    """Whether every practice this person worked in was left; False for somebody who belongs to none yet."""
    left = list(user.memberships.values_list("left_at", flat=True))
    return bool(left) and None not in left


def visible_coaches(desk: Membership) -> Q:
    """A filter on rows with a `coach` and a `practice`: the owner sees all, a coach own, an assistant theirs."""
    here = Q(practice_id=desk.practice_id)
    if desk.role == Membership.Role.OWNER:
        return here
    if desk.role == Membership.Role.COACH:
        return here & Q(coach_id=desk.pk)
    return here & Q(coach__in=desk.assists.all())


def recent_acts(desk: Membership) -> QuerySet[Act]:
    """What was done, newest first: everything for the owner, one's own acts for the rest."""
    rows = Act.objects.filter(practice_id=desk.practice_id)
    if desk.role != Membership.Role.OWNER:
        rows = rows.filter(actor_id=desk.pk)
    return rows.select_related("actor__user").order_by("-id")


def newest_act_ids(practice: Practice, subject: str, count: int = 2) -> list[int]:
    """The newest acts of a subject, undos included, newest first."""
    acts = Act.objects.filter(practice=practice, subject=subject).order_by("-id")
    return list(acts.values_list("id", flat=True)[:count])


def memberships_with_backups() -> QuerySet[Membership]:
    """Memberships, and with them when the last good backup was made and the database begun: for the banner."""
    begun = MigrationRecorder.Migration.objects.order_by("applied").values("applied")[:1]
    return Membership.objects.annotate(
        last_backup_at=Subquery(_backups().values("made_at")[:1]), database_begun_at=Subquery(begun)
    )


def last_backup_at() -> datetime | None:
    """When the last good backup was made, by the clock of then."""
    return _backups().values_list("made_at", flat=True).first()


def _backups() -> QuerySet[Backup]:
    return Backup.objects.order_by("-id")


def backup_warning(desk: Membership, now: datetime) -> str:
    """A sentence when backups are overdue, else ''. `desk`: a row of `memberships_with_backups`."""
    last, begun = getattr(desk, "last_backup_at", None), getattr(desk, "database_begun_at", None)
    if last is None:
        overdue = begun is not None and now - begun > FIRST_DAY
        return "There is no backup of this desk yet." if overdue else ""
    age = now - last
    if age < -FIRST_DAY:
        return "The last backup is dated in the future: this machine's clock was changed, and its age is not known."
    if age <= BACKUP_LIFE:
        return ""
    hours = age // timedelta(hours=1)
    return (
        f"The last good backup is {hours} hours old." if hours < 48 else f"The last good backup is {age.days} days old."
    )
