"""Writing groups, and the order in which their members do their exercises."""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from django.core.exceptions import ValidationError

from clients.models import Client, Place
from clients.services.stale import take_over
from clients.staff.services import with_leaving
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import Tape, UndoConflict, guard, write
from programs.groups.stints import rounds
from programs.models import GroupMember, PlannedExercise, PlannedSession, TrainingGroup
from programs.models.group import FEWEST, MOST
from programs.selectors import visible_programs
from programs.services.placing import number_rows


def subject_of_group(group: TrainingGroup) -> str:
    """The name of a group's undo stack."""
    return f"group:{group.pk}"


def create_group(*, by: Membership, name: str, place: Place | None, members: Sequence[Client]) -> TrainingGroup:
    """A group of two to eight clients; the columns stand in the order given. Its coach is that of the first."""
    _check_size(len(members))
    with write(f"Make group {name}", by=by) as tape:
        coach = members[0].coach
        group = tape.create(TrainingGroup(practice=by.practice, coach=coach, name=name, place=place))
        _add(tape, group, [client.pk for client in members])
        return group


def edit_group(
    *, by: Membership, group: TrainingGroup, version: int, fields: Mapping[str, Any], members: Collection[int],
    was: Collection[int],
) -> TrainingGroup:  # fmt: skip
    """Change name and place, and who is in it: those added and taken out since `was`, so that nobody's change is lost.

    Raises StaleEdit, ValidationError.
    """
    with write(f"Change group {group.name}", by=by, subject=subject_of_group(group)) as tape:
        row = take_over(tape.lock(group), version=version, fields=dict(fields))
        tape.save(row)
        there = {one.client_id: one for one in group.members.all()}
        gone = [pk for pk in was if pk not in members and pk in there]
        new = [pk for pk in members if pk not in was and pk not in there]
        _check_size(len(there) - len(gone) + len(new))
        for pk in gone:
            tape.delete(there[pk])
        _add(tape, row, new, after=max((one.position for one in there.values()), default=0))
        return row


def _check_size(count: int) -> None:
    if not FEWEST <= count <= MOST:
        words = "1 client" if count == 1 else f"{count} clients"
        raise ValidationError({"members": f"A group of {words} cannot be kept; {FEWEST} to {MOST}."})


def _add(tape: Tape, group: TrainingGroup, clients: Sequence[int], after: int = 0) -> None:
    for position, pk in enumerate(clients, start=after + 1):
        tape.create(GroupMember(group=group, client_id=pk, position=position))


def remove_group(*, by: Membership, group: TrainingGroup) -> None:
    """Take a group away; its clients and their programmes stay."""
    with write(f"Remove group {group.name}", by=by) as tape:
        tape.delete(group)


def set_orders(*, by: Membership, group: TrainingGroup, orders: Mapping[int, Sequence[int]], label: str) -> None:
    """Give planned sessions (by id) a new order of stints (by their first planned exercise), as one act.

    Raises ValidationError when a session no longer holds just these stints.
    """
    with write(label, by=by, subject=subject_of_group(group)) as tape:
        rows = PlannedSession.objects.filter(pk__in=list(orders), block__program__in=visible_programs(by))
        sessions = {row.pk: row for row in rows.prefetch_related("exercises")}
        for pk, keys in orders.items():
            stints = {one[0].pk: one for one in rounds(sessions[pk])} if pk in sessions else {}
            if set(stints) != set(keys):
                raise ValidationError("The plan has changed since this page was drawn; look at it again.")
            number_rows(tape, [row for key in keys for row in stints[key]])


def _still_visible(by: Membership, act: Act) -> None:
    """An order over several programmes is taken back only by somebody who still sees every one of them."""
    if not act.subject.startswith("group:") or by.role == Membership.Role.OWNER:
        return
    ids = act.changes.filter(model=PlannedExercise._meta.label_lower).values_list("row", flat=True)
    rows = PlannedExercise.objects.filter(pk__in=list(ids))
    if rows.exclude(session__block__program__in=visible_programs(by).values("pk")).exists():
        raise UndoConflict(f"'{act.label}' concerns a client of another coach now; ask them or the owner.")


def _pass_on(tape: Tape, coach: Membership, heir: Membership | None) -> None:
    """The groups of a coach who leaves go to whoever takes the clients over."""
    groups = tape.lock_all(TrainingGroup.objects.filter(coach=coach).order_by("id"))
    for group in groups:
        if heir is None:
            words = f"{len(groups)} group{'s' * (len(groups) != 1)}"
            raise ValidationError({"role": f"{coach.user.name} still has {words}; hand them over first."})
        group.coach = heir
    tape.save_all(groups)


guard(_still_visible)
with_leaving(_pass_on)
