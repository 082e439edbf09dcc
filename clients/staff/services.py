"""Adding people to a practice, changing what they may do, letting them leave and come back; all by an owner."""

from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import contextmanager
from datetime import datetime

from django.core.exceptions import PermissionDenied, ValidationError
from django.db import connection, transaction
from django.db.models import Model, QuerySet

from clients.models import Client
from clients.services.handover import check_heir, note_handovers
from clients.services.stale import merged_values, take_over
from clients.staff.selectors import clients_of
from coachdesk.practice.followers import Touched, follow
from coachdesk.practice.models import Act, Membership, Practice, User, Values
from coachdesk.practice.selectors import coaches, has_left
from coachdesk.practice.services import add_member, end_sign_ins, make_sign_in_link
from coachdesk.practice.tape import Tape, UndoConflict, guard, write

SUBJECT = "staff"
Assisting = Membership.assists.through
# Told by the apps above: what else goes to another coach when one leaves, within the same act.
_passing: list[Callable[[Tape, Membership, Membership | None], None]] = []


def with_leaving(pass_on: Callable[[Tape, Membership, Membership | None], None]) -> None:
    """Register `pass_on(tape, who leaves, heir)` for when somebody leaves; ValidationError without an heir."""
    _passing.append(pass_on)


def add_staff(
    *, by: Membership, name: str, email: str, role: str, may_log: bool, assists: Collection[Membership], now: datetime
) -> Membership:  # fmt: skip
    """Somebody new in the practice; `assists` and `may_log` count for assistants alone. Raises ValidationError."""
    _only_owner(by)
    with _one_at_a_time(by), write(f"Add {name} as {role}", by=by, subject=SUBJECT, at=now) as tape:
        _check_address(by, email)
        helps = role == Membership.Role.ASSISTANT
        made = add_member(practice=by.practice, name=name, email=email, role=role, may_log=may_log and helps)
        _assist(tape, made, assists if helps else ())
        return made


def _check_address(by: Membership, email: str) -> None:
    known = Membership.objects.filter(user__email=email.strip().lower())
    here = known.filter(practice=by.practice).select_related("user").first()
    if here is not None:
        what = "works here already" if here.left_at is None else "worked here before; take them back instead"
        raise ValidationError({"email": f"{email.strip()} is the address of {here.user.name}, who {what}."})
    if known.exists():
        # One sign-in has one desk: another practice's people are not to be let in, or taken over, from here.
        raise ValidationError({"email": f"{email.strip()} cannot be used here; write another address."})


def change_staff(
    *, by: Membership, member: Membership, version: int, role: str, may_log: bool, assists: Collection[Membership],
    was: Collection[int], now: datetime,
) -> Membership:  # fmt: skip
    """Change a role and whom an assistant assists: those added and taken out since `was` (ids), so none is lost.

    Raises StaleForm, ValidationError while clients or groups need them as coach, and without an owner left.
    """
    _only_owner(by)
    label = f"Change what {member.user.name} may do"
    with _one_at_a_time(by), write(label, by=by, subject=SUBJECT, at=now) as tape:
        row = tape.lock(member)
        helps = role == Membership.Role.ASSISTANT
        row = take_over(row, version=version, fields={"role": role, "may_log": may_log and helps})
        if not row.can_write:
            _check_free(tape, row)
        tape.save(row)
        if row.can_write:
            _drop(tape, Assisting.objects.filter(from_membership=row))
            return row
        _drop(tape, Assisting.objects.filter(to_membership=row))
        _assist(tape, row, [one for one in assists if one.pk not in was])
        gone = set(was) - {one.pk for one in assists}
        _drop(tape, Assisting.objects.filter(from_membership=row, to_membership__in=gone))
        return row


def change_person(
    *, by: Membership, member: Membership, name: str, email: str, was_name: str, was_email: str, now: datetime
) -> Membership:
    """Change somebody's name and the address they sign in with from the next time on; `was_...`: as they were shown.

    The password stays, and who is signed in stays so. Raises StaleForm; ValidationError for an address that is
    somebody else's, for one who has left, and for one who works in another practice.
    """
    _only_owner(by)
    label = f"Change name and address of {member.user.name}"
    with _one_at_a_time(by), write(label, by=by, subject=SUBJECT, at=now) as tape:
        row, user = tape.lock(member), tape.lock(member.user)
        if row.left_at is not None:
            raise ValidationError(f"{user.name} has left; take them back first.")
        merged = merged_values(
            user, base={"name": was_name, "email": was_email}, theirs={"name": user.name, "email": user.email},
            mine={"name": name, "email": email.strip().lower()},
        )  # fmt: skip
        _check_others_address(by, user, merged["email"])
        user.name, user.email = merged["name"], merged["email"]
        tape.save(user)
        return row


def _check_others_address(by: Membership, user: User, email: str) -> None:
    taken = Membership.objects.filter(user__email=email, practice=by.practice).exclude(user=user)
    other = taken.select_related("user").first()
    if other is not None:
        raise ValidationError({"email": f"{email} is the address of {other.user.name}; everybody signs in with one."})
    if User.objects.filter(email=email).exclude(pk=user.pk).exists():
        raise ValidationError({"email": f"{email} cannot be used here; write another address."})


def _check_free(tape: Tape, row: Membership) -> None:
    count = clients_of(row).count()
    if count:
        words = f"{count} client{'s' * (count != 1)}"
        raise ValidationError({"role": f"{row.user.name} still coaches {words}; hand them over first."})
    for pass_on in _passing:
        pass_on(tape, row, None)


def _assist(tape: Tape, helper: Membership, whom: Iterable[Membership]) -> None:
    known = set(Assisting.objects.filter(from_membership=helper).values_list("to_membership", flat=True))
    allowed = set(coaches(helper).values_list("pk", flat=True))
    for one in whom:
        if one.pk in allowed and one.pk not in known:
            tape.create(Assisting(from_membership=helper, to_membership=one))


def _drop(tape: Tape, rows: Iterable[Model]) -> None:
    for row in rows:
        tape.delete(row)


def end_staff(
    *, by: Membership, member: Membership, heir: Membership | None, note: str, now: datetime
) -> Membership:  # fmt: skip
    """Somebody leaves: their clients and groups go to `heir`, and they are signed out everywhere, at once and for good.

    Raises ValidationError without an heir for what they coach, for one who has left, for oneself and the last owner.
    """
    _only_owner(by)
    label = f"{member.user.name} leaves the practice"
    with _one_at_a_time(by), write(label, by=by, subject=SUBJECT, at=now) as tape:
        row = tape.lock(member)
        if row.left_at is not None:
            raise ValidationError(f"{row.user.name} has left already.")
        if row.pk == by.pk:
            raise ValidationError("You cannot leave by yourself; ask another owner.")
        if heir is not None:
            _hand_all_over(tape, row, check_heir(by, heir), by=by, note=note, now=now)
        else:
            _check_free(tape, row)
        row.left_at = now
        return tape.save(row)


def _hand_all_over(
    tape: Tape, row: Membership, heir: Membership, *, by: Membership, note: str, now: datetime
) -> None:  # fmt: skip
    if heir.pk == row.pk:
        raise ValidationError({"heir": f"{row.user.name} is the one who leaves; choose somebody who stays."})
    clients = tape.lock_all(clients_of(row))
    was = {one.pk: one.coach_id for one in clients}
    for one in clients:
        one.coach = heir
    tape.save_all(clients)
    note_handovers(tape, clients, was, by=by, note=note, now=now)
    for pass_on in _passing:
        pass_on(tape, row, heir)


def return_staff(*, by: Membership, member: Membership, now: datetime) -> Membership:
    """Somebody who left works here again, without clients and without a password. Does nothing to one who does."""
    _only_owner(by)
    label = f"{member.user.name} comes back to the practice"
    with _one_at_a_time(by), write(label, by=by, subject=SUBJECT, at=now) as tape:
        row = tape.lock(member)
        if row.left_at is not None and Membership.objects.filter(user=row.user, left_at=None).exists():
            raise ValidationError(f"{row.user.name} works in another practice on this desk now.")
        row.left_at = None
        return tape.save(row)


def make_staff_address(*, by: Membership, member: Membership, now: datetime) -> str:
    """A token that signs this person in once within 15 minutes; that it was made goes on the tape."""
    _only_owner(by)
    with write(f"Make a sign-in address for {member.user.name}", by=by, subject=SUBJECT, at=now) as tape:
        row = tape.lock(member)
        if row.left_at is not None:
            raise ValidationError(f"{row.user.name} has left; take them back first.")
        row.address_made_at = now
        tape.save(row)
        return make_sign_in_link(user=User.objects.get(pk=row.user_id), now=now)


def _only_owner(by: Membership) -> None:
    if by.role != Membership.Role.OWNER:
        raise PermissionDenied("Only the owner of the practice can do this.")


@contextmanager
def _one_at_a_time(by: Membership) -> Iterator[None]:
    """One change of staff at a time: two owners who step down at once must see each other.

    On PostgreSQL before the act is written, which holds on to the member who acts: two owners who change each other
    would wait for each other. SQLite has one writer anyway.
    """
    if connection.vendor != "postgresql":
        yield
        return
    with transaction.atomic():
        _lock_practice(by.practice_id)
        yield


def _lock_practice(practice_id: int) -> None:
    # 'No key': whoever writes anything holds on to the key of the practice.
    Practice.objects.select_for_update(no_key=True).get(pk=practice_id)


def _stays_sound(practice_id: int, touched: Touched) -> None:
    """After whatever an act or an undo wrote: a practice has an owner, a client a coach, and who left is signed out."""
    _ours(practice_id, [values["id"] for values in touched.get(User._meta.label_lower, ())])
    changed = {values["id"]: values for values in touched.get(Membership._meta.label_lower, ())}
    here = Membership.objects.filter(practice_id=practice_id)
    if changed:
        _lock_practice(practice_id)
        _has_owner(here, touched[Membership._meta.label_lower])
        works = here.filter(left_at=None, role__in=(Membership.Role.OWNER, Membership.Role.COACH))
        without = set(changed) - set(works.filter(pk__in=changed).values_list("pk", flat=True))
        if Client.objects.filter(coach__in=without).exists():
            raise ValidationError("Somebody without a place here would coach clients; hand them over first.")
        for user in User.objects.filter(memberships__in=[pk for pk in changed if changed[pk]["left_at"]]):
            if has_left(user):
                end_sign_ins(user=user)
    given = _given(touched.get(Client._meta.label_lower, ()))
    # Locked: a coach who leaves at this moment waits for this client, or this act for their leaving.
    for coach in here.filter(pk__in=given).select_for_update(no_key=True).order_by("pk") if given else ():
        if coach.left_at is not None or not coach.can_write:
            raise ValidationError("A client would go to a coach who has left; choose another.")


def _ours(practice_id: int, users: Iterable[int]) -> None:
    # By an address somebody signs in: another practice's people are not to be taken over from here.
    there = Membership.objects.filter(user__in=set(users), left_at=None).exclude(practice=practice_id)
    found = there.select_related("user").first() if users else None
    if found is not None:
        raise ValidationError(f"{found.user.name} works in another practice on this desk; nothing was changed.")


def _has_owner(here: "QuerySet[Membership]", values: Iterable[Values]) -> None:
    concerns = any(one["role"] == Membership.Role.OWNER for one in values)
    if concerns and not here.filter(role=Membership.Role.OWNER, left_at=None).exists():
        raise ValidationError("A practice needs an owner; make somebody else one first.")


def _given(values: Iterable[Values]) -> set[int]:
    """The coaches of clients who are new or have changed hands."""
    seen: dict[int, list[int]] = {}
    for one in values:
        seen.setdefault(one["id"], []).append(one["coach_id"])
    return {pk for pks in seen.values() if len(pks) == 1 or len(set(pks)) > 1 for pk in pks[-1:]}


def _owners_only(by: Membership, act: Act) -> None:
    """Who may work here is the owner's to take back, and somebody who has worked here is not made undone."""
    if act.subject != SUBJECT:
        return
    if by.role != Membership.Role.OWNER:
        raise UndoConflict(f"'{act.label}' is the owner's to take back.")
    label = Membership._meta.label_lower
    new = act.changes.filter(model=label, before__isnull=True).values_list("row", flat=True)
    if Act.objects.filter(actor__in=list(new)).exists():
        raise UndoConflict(f"'{act.label}' cannot be taken back: they have worked here since. Let them leave instead.")


follow(_stays_sound)
guard(_owners_only)
