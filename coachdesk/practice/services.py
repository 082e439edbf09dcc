"""Signing in, setting a practice up, and noting backups."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta

from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.http import HttpRequest

from coachdesk.practice.digest import digest_of, new_token
from coachdesk.practice.models import Backup, Membership, Practice, SignInAttempt, SignInLink, User
from coachdesk.practice.selectors import has_left
from coachdesk.practice.tape import write

LINK_LIFE = timedelta(minutes=15)
WINDOW = timedelta(minutes=15)
MOST_TRIES = 8


class SignInRefused(Exception):
    """The address and password do not open the desk, or there were too many tries; says which."""


def found_practice(*, name: str, owner_name: str, email: str, unit: str = "kg", time_zone: str = "UTC") -> Membership:
    """A new practice and its owner, who has no password until one is set."""
    with transaction.atomic():
        practice = Practice(name=name, unit=unit, time_zone=time_zone)
        practice.full_clean()
        practice.save()
        return add_member(practice=practice, name=owner_name, email=email, role=Membership.Role.OWNER)


def add_member(*, practice: Practice, name: str, email: str, role: str, may_log: bool = False) -> Membership:
    """A member of the practice, and the user if there is none with that address."""
    with write(f"Add {name} as {role}", practice=practice, source="desk") as tape:
        user = User.objects.filter(email=email.strip().lower()).first()
        if user is None:
            user = User(email=email.strip().lower(), name=name)
            user.set_unusable_password()
            user.full_clean()
            user.save()
        return tape.create(Membership(practice=practice, user=user, role=role, may_log=may_log))


def make_sign_in_link(*, user: User, now: datetime) -> str:
    """A token that signs this user in once within 15 minutes. Only its digest is stored."""
    token = new_token()
    SignInLink.objects.filter(expires_at__lt=now - timedelta(days=1)).delete()
    SignInLink.objects.create(user=user, digest=digest_of(token), expires_at=now + LINK_LIFE)
    return token


def use_sign_in_link(*, token: str, now: datetime) -> User:
    """The user this token signs in; burns it. Raises SignInRefused."""
    link = SignInLink.objects.select_related("user").filter(digest=digest_of(token)).first()
    # One conditional update of the row's own columns: two presses at once, on whichever server, cannot both win. With
    # a column of another table in it, PostgreSQL would not look again at a row it had to wait for.
    fresh = SignInLink.objects.filter(digest=digest_of(token), used_at=None, expires_at__gt=now)
    if link is None or not link.user.is_active or has_left(link.user) or fresh.update(used_at=now) != 1:
        raise SignInRefused("This sign-in link was used already or is older than 15 minutes. Ask for a new one.")
    return link.user


def sign_in(*, request: HttpRequest, email: str, password: str, now: datetime) -> User:
    """Check address and password. Raises SignInRefused, before hashing anything when there were too many tries."""
    email = email.strip().lower()
    with _counted(email, now):
        user = authenticate(request, username=email, password=password)
        if not isinstance(user, User):
            raise SignInRefused("This address and password do not open the desk. Check both and try again.")
        return user


@contextmanager
def _counted(email: str, now: datetime) -> Iterator[None]:
    """A try at a password. Counts when it ends in SignInRefused; raises that itself after too many."""
    # Noted before it is checked: tries sent all at once must count each other.
    attempt = SignInAttempt.objects.create(email=email[:254], at=now)
    tries = SignInAttempt.objects.filter(email=email, at__gt=now - WINDOW).exclude(pk=attempt.pk).count()
    if tries >= MOST_TRIES:
        attempt.delete()
        raise SignInRefused(
            f"{MOST_TRIES} tries failed in the last 15 minutes. Wait 15 minutes, or use a sign-in link."
        )
    try:
        yield
    except SignInRefused:
        SignInAttempt.objects.filter(at__lt=now - timedelta(days=1)).delete()
        raise
    attempt.delete()


def set_password(*, user: User, current: str, new: str, now: datetime) -> User:
    """Give a user a new password, which ends their other sign-ins. `current` is asked of those who have one.

    Raises SignInRefused when it is wrong or was tried too often, ValidationError for a new one that is too easy.
    """
    if user.has_usable_password():
        with _counted(user.email, now):
            if not user.check_password(current):
                raise SignInRefused("This is not the password you have now; write that, or use a sign-in link.")
    try:
        validate_password(new, user)
    except ValidationError as problem:
        raise ValidationError({"new": problem.messages}) from None
    user.set_password(new)
    user.save(update_fields=["password"])
    return user


def end_sign_ins(*, user: User) -> None:
    """Nobody is signed in as this user any more, here or on another server, and no password or link lets them in."""
    SignInLink.objects.filter(user=user).delete()
    # What a sign-in is held by follows from the password, so a thrown away one ends them all for good.
    user.set_unusable_password()
    user.save(update_fields=["password"])


def note_backup(*, made_at: datetime, name: str) -> None:
    """Remember that a good backup was made; no act, because nothing of the practice's changed."""
    Backup.objects.create(made_at=made_at, name=name)
