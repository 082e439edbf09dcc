"""Reading the practice: coaches, whose clients a member sees, and what was done."""

from django.db.models import Q, QuerySet

from coachdesk.practice.models import Act, Membership, Practice


def coaches(desk: Membership) -> QuerySet[Membership]:
    """Those who answer for clients: owners and coaches of this practice, by name."""
    rows = Membership.objects.filter(practice_id=desk.practice_id).exclude(role=Membership.Role.ASSISTANT)
    return rows.select_related("user").order_by("user__name", "id")


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
