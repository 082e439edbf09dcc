"""Several tables in one query: the same rows as asked for one by one."""

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import Model
from django.db.models.fields.json import KeyTextTransform
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from clients.models import Client, HouseRule, Screening
from coachdesk.practice.one_trip import one_trip
from programs.models import IssuedSheet, PlannedSession, StrengthEstimate
from tests.factories.clients import ClientFactory, HouseRuleFactory, ScreeningFactory
from tests.factories.whole import one_of_everything

OURS = [
    model for label in ("practice", "clients", "programs", "logs") for model in apps.get_app_config(label).get_models()
]


def values(row: Model) -> dict[str, object]:
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def test_every_model_comes_back_as_it_is(desk) -> None:
    one_of_everything(desk, timezone.now())
    HouseRuleFactory(practice=desk.practice, name="curve", value="epley")
    found = one_trip(*(model._default_manager.all() for model in OURS))
    seen = 0
    for model, rows in zip(OURS, found, strict=True):
        wanted = list(model._default_manager.order_by("pk"))
        assert [values(row) for row in rows] == [values(row) for row in wanted]
        assert [type(value) for row in rows for value in values(row).values()] == [
            type(value) for row in wanted for value in values(row).values()
        ]
        seen += bool(wanted)
    assert seen >= 18
    assert HouseRule.objects.filter(value="epley").exists()


@pytest.mark.parametrize("number", [1 / 3, 0.1 + 0.2, 1e-17, 123456.789012345678])
def test_numbers_keep_their_last_digit(desk, number: float) -> None:
    one_of_everything(desk, timezone.now())
    StrengthEstimate.objects.update(mean_kg=number, low_kg=number, high_kg=number)
    (rows,) = one_trip(StrengthEstimate.objects.all())
    assert [row.mean_kg for row in rows] == [number] * len(rows) != []


def test_all_of_it_takes_one_query_with_conditions_and_paths(desk) -> None:
    one_of_everything(desk, timezone.now())
    other = ClientFactory(coach=desk, name='Zoë \u2028 O\'Neil "%s"')
    ScreeningFactory(client=other)
    planned = PlannedSession.objects.filter(block__program__client__name="Vera Lindholm")
    paths = ("pk", "block__program__client", "block__program__start_on", "name")
    assert connection.features.supports_json_field  # asked once a connection, by queries of Django's own
    with CaptureQueriesContext(connection) as queries:
        clients, screenings, sessions, nothing = one_trip(
            Client.objects.filter(pk=other.pk), Screening.objects.filter(client__in=[other.pk]).order_by("-asked_on"),
            planned.values_list(*paths), Client.objects.filter(pk__in=[-1]),
        )  # fmt: skip
    assert len(queries) == 1
    assert [client.name for client in clients] == [other.name]
    assert [row.client_id for row in screenings] == [other.pk]
    assert sessions == list(planned.values_list(*paths)) != []
    assert nothing == []


def test_rows_can_be_saved_again(desk) -> None:
    client = ClientFactory(coach=desk)
    ((found,),) = one_trip(Client.objects.filter(pk=client.pk))
    found.name = "Renamed"
    found.save()
    assert list(Client.objects.values_list("name", flat=True)) == ["Renamed"]


def test_what_is_annotated_travels_like_a_column(desk) -> None:
    one_of_everything(desk, timezone.now())
    sheets = IssuedSheet.objects.annotate(minutes=KeyTextTransform("minutes", "body"))
    (rows,) = one_trip(sheets.values_list("pk", "minutes"))
    assert [(pk, str(minutes)) for pk, minutes in rows] == [
        (sheet.pk, str(sheet.body["minutes"])) for sheet in IssuedSheet.objects.order_by("pk")
    ] != []  # fmt: skip
