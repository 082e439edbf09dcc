"""A client with a row of every kind that hangs on a client, and a marker in every column that can hold one."""

from datetime import date, datetime
from typing import Any

from django.db import DatabaseError, connection, models, transaction

from clients.models import Client, Handover, HandoverSeen, RetentionReview
from clients.records.belongings import Belonging, belongings
from coachdesk.practice.models import Membership
from programs.logs.models import ClientNeed, SessionLog
from programs.models import FlagDecision, Program, Rollout, TemplateVersion
from tests.factories.clients import ClientLinkFactory, HouseRuleFactory, MarkedMuscleFactory
from tests.factories.whole import one_of_everything

MARKER = "zqxmarkzqx"
# Told apart by their bytes in a file: no year, no id, no load of the demo comes near.
NUMBERS = {"big": 7_319_046_719_593, "int": 1_931_904_671, "small": 31_973}


def whole_client(desk: Membership, now: datetime) -> Client:
    """The client of `one_of_everything`, with what that leaves out."""
    ids = one_of_everything(desk, now)
    client = Client.objects.get(pk=ids["client"][0])
    program = Program.objects.get(pk=ids["program"][0])
    MarkedMuscleFactory(client=client)
    ClientNeed.objects.create(client=client, worked=1)
    ClientLinkFactory(client=client)
    HouseRuleFactory(practice=desk.practice, client=client)
    handover = Handover.objects.create(client=client, to_coach=desk, handed_at=now, note="Look at the knee")
    HandoverSeen.objects.create(handover=handover, seen_at=now)
    RetentionReview.objects.create(
        client=client, reviewed_on=now.date(), reason="Comes back", again_on=date(2027, 11, 24), reviewed_by=desk
    )
    FlagDecision.objects.create(program=program, flag_id="f", code="c", why="Said so", by=desk, at=now)
    version = TemplateVersion.objects.create(program=program, number=1, by=desk, at=now, body={"v": 1})
    Rollout.objects.create(
        practice=desk.practice, by=desk, program=program, of=version, start_on=now.date(), began_at=now, beat_at=now
    )
    SessionLog.objects.filter(client=client).update(minutes=60, rating=7)
    return client


def mark_everything(client: Client) -> dict[str, list[str]]:
    """Write the marker into every column of every row of the client; gives 'marked' and 'refused' columns by name.

    Refused are codes too short for it, keys, and numbers that a constraint holds in a narrow range.
    """
    done: dict[str, list[str]] = {"marked": [], "refused": []}
    for one in belongings():
        for field in one.model._meta.concrete_fields:
            if field.primary_key or field.is_relation:
                continue
            done["marked" if _mark(one, client, field) else "refused"].append(f"{one.label}.{field.name}")
    return done


def _mark(one: Belonging, client: Client, field: "models.Field[Any, Any]") -> bool:
    for value in _markers(field):
        try:
            with transaction.atomic():
                return bool(one.model._default_manager.filter(pk__in=_pks(one, client)).update(**{field.name: value}))
        except DatabaseError:
            continue
    return False


def _pks(one: Belonging, client: Client) -> list[int]:
    return list(one.rows(client.pk).values_list("pk", flat=True))


def _markers(field: "models.Field[Any, Any]") -> list[Any]:
    if isinstance(field, models.JSONField):
        return [{"v": 1, MARKER: [MARKER, NUMBERS["int"]]}]
    if isinstance(field, (models.CharField, models.TextField)):
        return [MARKER] if (field.max_length or 4000) >= len(MARKER) else []
    if isinstance(field, models.FloatField):
        return [float(NUMBERS["int"])]
    if isinstance(field, models.IntegerField):
        _low, high = connection.ops.integer_field_range(field.get_internal_type())
        return [n for n in sorted(NUMBERS.values(), reverse=True) if high is None or n <= high]
    return []
