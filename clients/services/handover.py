"""Giving clients from one coach to another: who may, what is kept of it, and that the new coach has looked."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from django.core.exceptions import PermissionDenied, ValidationError

from clients.models import Client, Handover, HandoverSeen
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import coaches
from coachdesk.practice.tape import Tape, write


def may_hand_over(by: Membership) -> None:
    """Raises PermissionDenied for anybody but the owner."""
    if by.role != Membership.Role.OWNER:
        raise PermissionDenied("Only the owner of the practice can give a client to another coach.")


def check_heir(by: Membership, heir: object) -> Membership:
    """The coach a client may go to; ValidationError for one who is none of this practice, or has left."""
    if not isinstance(heir, Membership) or not coaches(by).filter(pk=heir.pk).exists():
        raise ValidationError("This is no coach of this practice any more; choose another.")
    return heir


def hand_over_client(
    *, by: Membership, client: Client, was: int, to: Membership, note: str, now: datetime
) -> Handover:  # fmt: skip
    """Give a client who was coached by `was` (an id) to another coach, with a note to them.

    Raises PermissionDenied, ValidationError, also when somebody handed the client over meanwhile.
    """
    may_hand_over(by)
    with write(f"Hand {client.name} over to {to.user.name}", by=by, subject=f"client:{client.pk}", at=now) as tape:
        check_heir(by, to)
        row = tape.lock(client)
        if row.coach_id == to.pk:
            raise ValidationError({"to": f"{to.user.name} coaches {row.name} already; choose somebody else."})
        if row.coach_id != was:
            words = f"{row.name} was handed over to {row.coach.user.name} meanwhile. Look again before you go on."
            raise ValidationError(words)
        row.coach = to
        tape.save(row)
        return note_handovers(tape, [row], {row.pk: was}, by=by, note=note, now=now)[0]


def note_handovers(
    tape: Tape, clients: Iterable[Client], was: Mapping[int, int], *, by: Membership, now: datetime, note: str = ""
) -> list[Handover]:  # fmt: skip
    """Within an act: keep of each client whose coach is another than `was` (client id -> coach id) that it was so."""
    rows = [
        Handover(
            client=one, from_coach_id=was[one.pk], to_coach_id=one.coach_id, handed_by=by, handed_at=now, note=note
        )
        for one in clients
        if one.coach_id != was[one.pk]
    ]  # fmt: skip
    made = tape.create_all(rows)
    # Who takes a client over themselves has nothing to be told.
    own = [HandoverSeen(handover=row, seen_at=now) for row in made if row.to_coach_id == by.pk]
    HandoverSeen.objects.bulk_create(own)
    return made


def see_handover(*, by: Membership, client: Client, now: datetime) -> int:
    """The new coach has looked at what was handed over; gives how many handovers that answers.

    Raises ValidationError for anybody but the client's coach.
    """
    with write("See a handover", by=by, subject=f"client:{client.pk}", at=now) as tape:
        row = tape.lock(client)
        if row.coach_id != by.pk:
            raise ValidationError(f"Only {row.coach.user.name}, who coaches {row.name} now, can answer this.")
        waiting = row.handovers.filter(to_coach=by, seen=None)
        made = [HandoverSeen(handover=one, seen_at=now) for one in waiting.order_by("id")]
        HandoverSeen.objects.bulk_create(made)
        return len(made)
