"""What belongs to a client, held against Django's own deletion and a search through every foreign key."""

from itertools import chain

import pytest
from django.apps import apps
from django.db import models

from clients.models import Client
from clients.records.belongings import belongings
from coachdesk.practice.rows import doomed_with
from tests.factories.marked import whole_client

pytestmark = pytest.mark.django_db


def reaching(target: type[models.Model]) -> set[type[models.Model]]:
    """Every model from which foreign keys that delete lead to the target, found by going round until nothing is new."""
    found = {target}
    while True:
        more = {
            model for model in apps.get_models() for field in model._meta.concrete_fields
            if field.is_relation and field.related_model in found
            and field.remote_field.on_delete is models.CASCADE
        } - found  # fmt: skip
        if not more:
            return found
        found |= more


def test_every_kind_that_hangs_on_a_client_belongs():
    kinds = [one.model for one in belongings()]
    assert len(kinds) == len(set(kinds)) > 20
    assert set(kinds) == reaching(Client)
    assert kinds[0] is Client


def test_parents_come_before_their_children():
    seen = set()
    for one in belongings():
        assert all(parent in seen for _, parent in one.parents), one.label
        seen.add(one.model)


def test_rows_of_every_kind_are_those_that_deleting_would_take(desk, now):
    client = whole_client(desk, now)
    _, doomed = doomed_with(client)
    theirs = {(type(row)._meta.label_lower, row.pk) for row in doomed}
    ours = {(one.label, row.pk) for one in belongings() for row in one.rows(client.pk)}
    assert ours == theirs
    # A kind without a row here is not tried by the tests of export and erasing: give it one in whole_client.
    assert {label for label, _ in ours} == {one.label for one in belongings()}


def test_rows_of_another_client_do_not_belong(desk, now):
    first, second = whole_client(desk, now), Client.objects.exclude(name="Vera Lindholm").first()
    mine = [set(one.rows(first.pk)) for one in belongings()]
    assert not set(chain(*mine)) & set(chain(*(one.rows(second.pk) for one in belongings())))
