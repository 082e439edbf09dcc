"""Signing in, setting a practice up, and noting backups."""

from datetime import datetime, timedelta

from django.contrib.auth import authenticate
from django.db import transaction
from django.http import HttpRequest

from coachdesk.practice.digest import digest_of, new_token
from coachdesk.practice.models import Backup, Membership, Practice, SignInAttempt, SignInLink, User
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


def add_member(*, practice: Practice, name: str, email: str, role: str) -> Membership:
    """A member of the practice, and the user if there is none with that address."""
    with write(f"Add {name} as {role}", practice=practice, source="desk") as tape:
        user = User.objects.filter(email=email.strip().lower()).first()
        if user is None:
            user = User(email=email.strip().lower(), name=name)
            user.set_unusable_password()
            user.full_clean()
            user.save()
        return tape.create(Membership(practice=practice, user=user, role=role))


def make_sign_in_link(*, user: User, now: datetime) -> str:
    """A token that signs this user in once within 15 minutes. Only its digest is stored."""
    token = new_token()
    SignInLink.objects.filter(expires_at__lt=now - timedelta(days=1)).delete()
    SignInLink.objects.create(user=user, digest=digest_of(token), expires_at=now + LINK_LIFE)
    return token


def use_sign_in_link(*, token: str, now: datetime) -> User:
    """The user this token signs in; burns it. Raises SignInRefused."""
    # One conditional update: two presses at once cannot both win.
    fresh = SignInLink.objects.filter(digest=digest_of(token), used_at=None, expires_at__gt=now, user__is_active=True)
    if fresh.update(used_at=now) != 1:
        raise SignInRefused("This sign-in link was used already or is older than 15 minutes. Ask for a new one.")
    return SignInLink.objects.select_related("user").get(digest=digest_of(token)).user


def sign_in(*, request: HttpRequest, email: str, password: str, now: datetime) -> User:
    """Check address and password. Raises SignInRefused, before hashing anything when there were too many tries."""
    email = email.strip().lower()
    # Noted before it is checked: tries sent all at once must count each other.
    attempt = SignInAttempt.objects.create(email=email[:254], at=now)
    tries = SignInAttempt.objects.filter(email=email, at__gt=now - WINDOW).exclude(pk=attempt.pk).count()
    if tries >= MOST_TRIES:
        attempt.delete()
        raise SignInRefused(
            f"{MOST_TRIES} tries failed in the last 15 minutes. Wait 15 minutes, or use a sign-in link."
        )
    user = authenticate(request, username=email, password=password)
    if not isinstance(user, User):
        SignInAttempt.objects.filter(at__lt=now - timedelta(days=1)).delete()
        raise SignInRefused("This address and password do not open the desk. Check both and try again.")
    attempt.delete()
    return user


def note_backup(*, made_at: datetime, name: str) -> None:
    """Remember that a good backup was made; no act, because nothing of the practice's changed."""
    Backup.objects.create(made_at=made_at, name=name)
