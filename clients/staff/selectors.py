"""Reading who coached a client when, what a new coach has not looked at yet, and whose clients there are."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from clients.models import Client, Handover
from coachdesk.practice.models import Act, Change, Membership


@dataclass(frozen=True)
class Coached:
    """Who coached a client from when to when; None for the start where it is not known, and for an end to come.

    `handover`: how the client came to this coach; None for the first.
    """

    coach: Membership | None
    since: datetime | None
    until: datetime | None
    handover: Handover | None = None

    @property
    def is_seen(self) -> bool:
        return self.handover is not None and hasattr(self.handover, "seen")


@dataclass(frozen=True)
class Coaches:
    """Everybody who coached a client, the present one first; empty for one who never changed hands.

    `unseen`: the handover that the present coach has not looked at yet; `act`: that of the latest while in force.
    """

    spans: Sequence[Coached] = ()
    unseen: Handover | None = None
    act: Act | None = None


def coaches_of(client: Client) -> Coaches:
    """The history of a client's coaches: one query for one who never changed hands, else three."""
    rows = client.handovers.select_related("from_coach__user", "to_coach__user", "handed_by__user", "seen")
    found = list(rows.order_by("handed_at", "id"))
    if not found:
        return Coaches()
    ends = [*(one.handed_at for one in found[1:]), None]
    first = Coached(found[0].from_coach, _added_at(client), found[0].handed_at)
    spans = [first, *(Coached(one.to_coach, one.handed_at, end, one) for one, end in zip(found, ends, strict=True))]
    open_ones = [span.handover for span in spans if span.handover and not span.is_seen]
    unseen = [one for one in open_ones if one.to_coach_id == client.coach_id]
    return Coaches(spans[::-1], unseen[-1] if unseen else None, _act_of(found[-1]))


def _added_at(client: Client) -> datetime | None:
    made = Change.objects.filter(model=Client._meta.label_lower, row=client.pk, before__isnull=True)
    return made.exclude(after__isnull=True).order_by("id").values_list("act__at", flat=True).first()


def _act_of(handover: Handover) -> Act | None:
    made = Change.objects.filter(model=Handover._meta.label_lower, row=handover.pk, before__isnull=True)
    change = made.filter(act__is_undone=False).select_related("act").order_by("-id").first()
    return change.act if change else None


def clients_of(coach: Membership) -> "QuerySet[Client]":
    """Every client of a coach, archived ones too."""
    return Client.objects.filter(coach=coach).order_by("folded", "id")
