"""Handing a template to many clients in short transactions that add to one act, and taking it back as one."""

from collections.abc import Sequence
from contextlib import AbstractContextManager
from datetime import date, datetime

from django.core.exceptions import ValidationError

from clients.models import Client
from clients.selectors import today_for, visible_clients
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import Tape, UndoConflict, more_of, undoer, write
from programs.bodies import Body
from programs.models import Block, PlannedExercise, PlannedSession, Program, Rollout, TemplateVersion
from programs.selectors.rollouts import kept_copies
from programs.services.assign import copy_for, fill_many
from programs.services.programs import check_start
from programs.services.versions import version_to_assign

MOST_CLIENTS = 500
KIND = "rollout"


def subject_of(rollout: Rollout) -> str:
    """The name of a rollout's undo stack; its acts are undone by `take_back`."""
    return f"{KIND}:{rollout.pk}"


def running_rollout(by: Membership, program: Program) -> Rollout | None:
    """The one of this template that this person has running, so that a second press begins no second one."""
    return Rollout.objects.filter(by=by, program=program, state=Rollout.State.RUNNING).order_by("-id").first()


def hand_out(
    *, by: Membership, program: Program, version: TemplateVersion | None, takes_present: bool,
    client_ids: Sequence[int], start_on: date, today: date, now: datetime,
) -> Rollout:  # fmt: skip
    """Note who is to get which version from when; nothing is given to anybody yet.

    `takes_present`: the template as it stands, saved as a version where none holds it. Raises ValidationError.
    """
    if not client_ids:
        raise ValidationError("Nobody is chosen; tick at least one client.")
    if len(client_ids) > MOST_CLIENTS:
        raise ValidationError(f"{len(client_ids)} clients are chosen; {MOST_CLIENTS} at a time is the most.")
    seen = visible_clients(by).filter(pk__in=client_ids, archived_on=None).count()
    if seen != len(client_ids):
        missing = len(client_ids) - seen
        raise ValidationError(f"{missing} of those chosen {'is' if missing == 1 else 'are'} gone from your clients.")
    start = check_start(start_on, today)
    if takes_present:
        version = version_to_assign(by=by, program=program, now=now)
    if version is None:
        raise ValidationError("There is nothing to give yet: plan a session first.")
    with write(f"Begin to hand out {program.name}", by=by, at=now) as tape:
        return tape.create(
            Rollout(
                practice=by.practice, by=by, program=program, of=version, start_on=start, waiting=list(client_ids),
                began_at=now, beat_at=now,
            ),
            record=False,
        )  # fmt: skip


def hand_to_some(*, rollout: Rollout, body: Body, at_once: int, now: datetime) -> Rollout:
    """Give copies to the next `at_once` clients, in one transaction. The rollout as it stands after it.

    Does nothing for one that is not running any more.
    """
    try:
        with _act_of(rollout, now) as tape:
            row = Rollout.objects.select_for_update().select_related("by__practice", "program", "of").get(pk=rollout.pk)
            # Another worker began the act between our looking and this lock: the next turn joins it.
            if row.state == Rollout.State.RUNNING and row.act_id in (None, tape.act.pk):
                _hand(tape, row, body, at_once, now)
            return row
    except UndoConflict:
        return Rollout.objects.get(pk=rollout.pk)


def _act_of(rollout: Rollout, now: datetime) -> AbstractContextManager[Tape]:
    if rollout.act is not None:
        return more_of(rollout.act)
    label = f"Assign {rollout.program.name} to {rollout.total} clients"
    return write(label, by=rollout.by, subject=subject_of(rollout), at=now)


def _hand(tape: Tape, row: Rollout, body: Body, at_once: int, now: datetime) -> None:
    ids, row.waiting = row.waiting[:at_once], row.waiting[at_once:]
    found = {one.pk: one for one in visible_clients(row.by).filter(pk__in=ids)}
    made = []
    for pk in ids:
        problem = _problem(found.get(pk), row, now)
        if problem:
            row.failed = [*row.failed, [pk, problem]]
        else:
            made.append(copy_for(program=row.program, version=row.of, client=found[pk], start_on=row.start_on))
    if made:
        tape.create_all(made)
        fill_many((program, body) for program in made)
        row.act = tape.act
    row.done += len(made)
    row.beat_at = now
    if not row.waiting:
        row.state, row.ended_at = Rollout.State.DONE, now
    row.save()


def _problem(client: Client | None, row: Rollout, now: datetime) -> str:
    """Why this client gets no copy, or ''."""
    if client is None:
        return "is no longer among the clients you see"
    if client.archived_on is not None:
        return "was archived meanwhile"
    if row.start_on < today_for(client, now):
        return "is past the start date already"
    return ""


def stop_rollout(*, rollout: Rollout, problem: str, now: datetime) -> None:
    """Note that the work stopped by itself, and why; it can be gone on with."""
    _set_state(rollout, Rollout.State.RUNNING, Rollout.State.STOPPED, now, problem=problem[:300])


def continue_rollout(*, rollout: Rollout, now: datetime) -> Rollout:
    """Let a stopped one, or one whose worker died, run again."""
    return _set_state(rollout, None, Rollout.State.RUNNING, now)


def cancel_rollout(*, by: Membership, rollout: Rollout, keep: bool, now: datetime) -> None:
    """Stop it. What is written is taken back unless `keep`; copies changed since stay and are listed on its page."""
    row = _set_state(rollout, None, Rollout.State.CANCELLED, now)
    if not keep and row.act is not None and not row.act.is_undone:
        take_back(row.act, by, but_changed=True)


def _set_state(rollout: Rollout, when: str | None, state: str, now: datetime, problem: str = "") -> Rollout:
    """Write a new state where there is something left to do; the worker holds the same lock."""
    with write("How far a rollout is", practice=rollout.practice, at=now):
        row = Rollout.objects.select_for_update().get(pk=rollout.pk)
        if row.waiting and row.state != Rollout.State.DONE and (when is None or row.state == when):
            row.state, row.problem, row.beat_at = state, problem, now
            row.ended_at = None if state == Rollout.State.RUNNING else now
            row.save()
    return row


class CopiesChanged(UndoConflict):
    """Some copies were changed or used since; `kept` says which, and why."""

    def __init__(self, kept: dict[int, str], label: str) -> None:
        self.kept = kept
        rows = Program.objects.filter(pk__in=kept).order_by("client__folded", "id")
        names = list(rows.values_list("client__name", flat=True))
        shown = ", ".join(map(str, names[:5])) + (f" and {len(names) - 5} more" if len(names) > 5 else "")
        super().__init__(
            f"'{label}' was not undone: {len(kept)} of its copies {'was' if len(kept) == 1 else 'were'} changed or"
            f" used since ({shown}). Open the hand-out from the template's versions to undo the others."
        )


def take_back(act: Act, by: Membership, *, but_changed: bool = False) -> Act:
    """Undo a rollout: delete its copies with all inside, in one transaction; a running one stops.

    Raises CopiesChanged when some were changed or used since, unless they are to stay (`but_changed`).
    """
    if act.kind != Act.Kind.EDIT:
        raise UndoConflict("Copies that were taken back are not brought back; assign the template again.")
    with write(f"Undo: {act.label}", by=by, subject=act.subject, kind=Act.Kind.UNDO, undoes=act) as tape:
        locked = Act.objects.select_for_update().get(pk=act.pk)
        if locked.is_undone:
            raise UndoConflict(f"'{act.label}' has been undone already.")
        Rollout.objects.filter(act=act, state=Rollout.State.RUNNING).update(
            state=Rollout.State.CANCELLED, ended_at=tape.act.at
        )
        kept = kept_copies(act, by)
        if kept and not but_changed:
            raise CopiesChanged(kept, act.label)
        made = act.changes.filter(model=Program._meta.label_lower, before__isnull=True).values_list("row", flat=True)
        doomed = list(Program.objects.select_for_update().filter(pk__in=set(made) - set(kept)))
        tape.forget_all(doomed)
        _delete_with_inside([one.pk for one in doomed])
        Act.objects.filter(pk=act.pk).update(is_undone=True)
    return tape.act


def _delete_with_inside(ids: Sequence[int]) -> None:
    """Row by row it would be minutes: nothing else hangs on these, or they would have been kept."""
    for start in range(0, len(ids), 100):
        some = ids[start : start + 100]
        for rows in (
            PlannedExercise.objects.filter(session__block__program__in=some),
            PlannedSession.objects.filter(block__program__in=some),
            Block.objects.filter(program__in=some),
            Program.objects.filter(pk__in=some),
        ):
            rows._raw_delete(rows.db)


undoer(KIND, take_back)
