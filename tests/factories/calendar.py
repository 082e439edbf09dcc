"""Days away, dates to train towards and groups, for tests."""

from datetime import UTC, date, datetime

from factory import SubFactory
from factory.django import DjangoModelFactory

from clients.models import Client, Place
from coachdesk.practice.models import Membership
from programs.logs.models import SessionLog
from programs.models import Absence, ClientDate, GroupMember, TrainingGroup
from tests.factories.clients import ClientFactory


class AbsenceFactory(DjangoModelFactory[Absence]):
    """A holiday from Sat 5 to Sun 13 Dec 2026."""

    class Meta:
        model = Absence

    client = SubFactory(ClientFactory)
    first_on = date(2026, 12, 5)
    last_on = date(2026, 12, 13)


class ClientDateFactory(DjangoModelFactory[ClientDate]):
    """A test of maxima on Fri 18 Dec 2026."""

    class Meta:
        model = ClientDate

    client = SubFactory(ClientFactory)
    on = date(2026, 12, 18)


class SessionLogFactory(DjangoModelFactory[SessionLog]):
    """A session that was done on Mon 23 Nov 2026, without sets; give `client`."""

    class Meta:
        model = SessionLog

    done_on = date(2026, 11, 23)
    logged_at = datetime(2026, 11, 23, 18, 0, tzinfo=UTC)


def group_of(
    desk: Membership, clients: list[Client], *, place: Place | None = None, name: str = "Tuesday six"
) -> TrainingGroup:
    """A group of these clients, in this order."""
    group = TrainingGroup.objects.create(practice=desk.practice, coach=desk, name=name, place=place)
    for position, client in enumerate(clients, start=1):
        GroupMember.objects.create(group=group, client=client, position=position)
    return group
