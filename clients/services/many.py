"""One change to many clients at once: what it would do to each, and doing it as one act."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError

from clients.models import Client
from clients.selectors import today_for, visible_clients
from clients.services.handover import check_heir, may_hand_over, note_handovers
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import write

KINDS = ("coach", "goal", "archive")
MOST = 500


@dataclass(frozen=True)
class ManyLine:
    """One client: what is changed from and to in words, or why they are left out."""

    client: Client
    was: str
    then: str
    left_out: str = ""


@dataclass(frozen=True)
class ManyChange:
    """The change: `kind` one of KINDS; `value` a coach, a goal's code, or None to archive."""

    kind: str
    value: Membership | str | None = None

    @property
    def words(self) -> str:
        """'Hand over to Jonas Ek'."""
        if isinstance(self.value, Membership):
            return f"Hand over to {self.value.user.name}"
        return f"Set the goal to {self.then}" if self.kind == "goal" else "Archive"

    @property
    def then(self) -> str:
        """What stands afterwards."""
        if isinstance(self.value, Membership):
            return self.value.user.name
        return str(dict(Client.Goal.choices).get(str(self.value), self.value)) if self.kind == "goal" else "archived"

    def was(self, client: Client) -> str:
        """What stands now."""
        if self.kind == "coach":
            return client.coach.user.name
        return str(client.get_goal_display()) if self.kind == "goal" else "on the lists"

    def is_so(self, client: Client) -> bool:
        """Whether it is so already."""
        if isinstance(self.value, Membership):
            return client.coach_id == self.value.pk
        return client.goal == self.value if self.kind == "goal" else client.archived_on is not None


def many_lines(
    clients: Iterable[Client], change: ManyChange, seen: Mapping[int, int] | None = None
) -> list[ManyLine]:  # fmt: skip
    """What the change would do to each; `seen`: the version of each that was looked at."""
    return [
        ManyLine(client, change.was(client), change.then, _left_out(client, change, seen)) for client in clients
    ]  # fmt: skip


def _left_out(client: Client, change: ManyChange, seen: Mapping[int, int] | None) -> str:
    if change.is_so(client):
        return "is so already"
    if client.archived_on is not None:
        return "is archived; restore them first"
    if seen is not None and seen.get(client.pk) != client.version:
        return "was changed by somebody meanwhile; look again"
    return ""


def change_many(
    *, by: Membership, change: ManyChange, seen: Mapping[int, int], now: datetime, note: str = ""
) -> tuple[Act | None, list[ManyLine]]:
    """Make the change to clients as they were `seen` (id -> version), all in one act; gives it and what became of each.

    `note`: to the new coach, kept with each client that is handed over.
    The act is None when nothing was left to change. Clients that `by` does not see have no line. Raises
    PermissionDenied for a handover by anybody but the owner, ValidationError for one to somebody who is no coach.
    """
    check_change(by, change)
    if len(seen) > MOST:
        raise ValidationError(f"{len(seen)} clients are ticked; {MOST} at once is the most.")
    with write(f"{change.words}: {len(seen)} client{'s' * (len(seen) != 1)}", by=by, subject="clients", at=now) as tape:
        named = {row.pk: row for row in visible_clients(by).filter(pk__in=seen)}
        locked = tape.lock_all(named.values())
        for row in locked:
            # Names for the words; what is compared and changed is the locked row.
            row.coach = named[row.pk].coach if row.coach_id == named[row.pk].coach_id else row.coach
        lines = many_lines(locked, change, seen)
        was = {row.pk: row.coach_id for row in locked}
        moved = [_changed(line.client, change, now) for line in lines if not line.left_out]
        tape.save_all(moved)
        note_handovers(tape, moved, was, by=by, note=note, now=now)
        return (tape.act if tape.noted else None), lines


def check_change(by: Membership, change: ManyChange) -> None:
    """Raise unless this member may make the change."""
    if change.kind == "coach":
        may_hand_over(by)
        check_heir(by, change.value)


def _changed(client: Client, change: ManyChange, now: datetime) -> Client:
    if isinstance(change.value, Membership):
        client.coach = change.value
    elif change.kind == "goal":
        client.goal = str(change.value)
    else:
        client.archived_on = today_for(client, now)
    return client


def lines_of_act(act: Act, clients: Sequence[Client]) -> set[int]:
    """The ids of those of the clients that an act changed."""
    label = Client._meta.label_lower
    return set(act.changes.filter(model=label, row__in=[c.pk for c in clients]).values_list("row", flat=True))
