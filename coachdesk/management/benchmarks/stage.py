"""Who and what is measured: a signed-in browser, a newcomer's, and a client with a history."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.conf import settings
from django.db.models import Count
from django.test import Client as Browser
from django.utils import timezone

from clients.models import Client
from coachdesk.management.benchmarks.course import Course, make_course
from coachdesk.practice.models import Membership
from coachdesk.practice.services import add_member


class NothingToMeasureError(Exception):
    """The database lacks what a benchmark needs; says what."""


@dataclass
class Stage:
    """Everything a benchmark may use; it stands on a scratch database, so it may write."""

    owner: Membership
    now: datetime

    @classmethod
    def set_up(cls) -> "Stage":
        owner = Membership.objects.filter(role=Membership.Role.OWNER).select_related("practice", "user").first()
        if owner is None:
            raise NothingToMeasureError("This database has a practice without an owner.")
        return cls(owner, timezone.now())

    @cached_property
    def browser(self) -> Browser:
        """The owner's, with every middleware in its way."""
        return signed_in(self.owner)

    @cached_property
    def newcomer(self) -> Browser:
        """A coach who joined this moment: no client, nothing done yet."""
        practice, coach = self.owner.practice, Membership.Role.COACH
        return signed_in(add_member(practice=practice, name="Newcomer", email="newcomer@desk.example", role=coach))

    @cached_property
    def client(self) -> Client:
        """The client of whom most maxima are known."""
        rows = Client.objects.filter(practice=self.owner.practice, archived_on=None)
        rows = rows.annotate(known=Count("strength_estimates")).select_related("place", "practice", "coach__user")
        found = rows.order_by("-known", "id").first()
        if found is None:
            raise NothingToMeasureError(
                "This practice has no client; 'client', 'trends', 'edit' and 'log_set' need one."
            )
        return found

    @cached_property
    def course(self) -> Course:
        """A programme of twelve weeks for that client."""
        return make_course(by=self.owner, client=self.client, now=self.now)


def signed_in(member: Membership) -> Browser:
    """A browser that is checked as a real one would be, forgery check included."""
    browser = Browser(enforce_csrf_checks=True, SERVER_NAME=settings.ALLOWED_HOSTS[0])
    if settings.SECURE_SSL_REDIRECT:
        browser.defaults["wsgi.url_scheme"] = "https"
    browser.force_login(member.user)
    return browser
