"""Making, rotating and revoking links: the token is shown once, kept nowhere, and nothing brings one back."""

import json
from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import Client as Browser

from clients.links.selectors import link_of_token
from clients.links.services import make_link, revoke_link, rotate_link
from clients.models import Client, ClientLink
from coachdesk.practice.digest import digest_of
from coachdesk.practice.models import Act, Change, Membership
from coachdesk.practice.tape import UndoConflict, undo
from tests.clients.records.test_client_export import exported
from tests.factories.clients import ClientFactory, ClientLinkFactory

PHONE, CALENDAR = ClientLink.Kind.PHONE, ClientLink.Kind.CALENDAR


@pytest.fixture
def made(desk: Membership, linked: Client, now: datetime) -> tuple[ClientLink, str]:
    return make_link(by=desk, client=linked, label="Own phone", now=now)


def said_everywhere(browser: Browser, client: Client) -> str:
    """The tape as it is kept, and every file of the client's export."""
    tape = [[c.before, c.after, c.act.label] for c in Change.objects.select_related("act")]
    return json.dumps(tape) + "".join(exported(browser, client).values())


@pytest.mark.django_db
def test_a_link_lasts_180_days_by_default_and_opens_one_client(made, linked, now):
    link, token = made
    assert (link.made_on, link.expires_on) == (date(2026, 11, 24), date(2027, 5, 23))
    assert link.expires_on - link.made_on == timedelta(days=180)
    found = link_of_token(token, PHONE, now)
    assert found is not None
    assert found.client == linked
    assert link_of_token(token, CALENDAR, now) is None


@pytest.mark.django_db
def test_neither_token_nor_digest_is_on_the_tape_or_in_an_export(as_coach, desk, linked, made, now):
    link, token = made
    fresh, second = rotate_link(by=desk, link=link, now=now)
    revoke_link(by=desk, link=fresh, now=now)
    third, last = make_link(by=desk, client=linked, label="Tablet", now=now)
    said = said_everywhere(as_coach, linked)
    assert "Tablet" in said
    assert third.token_hash == digest_of(last)
    for one in (token, second, last):
        assert one not in said
        assert digest_of(one) not in said


@pytest.mark.django_db
def test_revoking_stops_a_link_at_once_and_once(desk, made, now):
    link, token = made
    revoke_link(by=desk, link=link, now=now)
    assert link_of_token(token, PHONE, now) is None
    acts = Act.objects.count()
    assert revoke_link(by=desk, link=link, now=now + timedelta(hours=1)).revoked_at == now
    assert Act.objects.count() == acts


@pytest.mark.django_db
def test_a_list_that_cannot_be_written_keeps_no_link_open(desk, made, now, settings, tmp_path, caplog):
    link, token = made
    settings.ERASED_IDS = tmp_path / "missing" / "erased-ids"
    revoke_link(by=desk, link=link, now=now)
    assert link_of_token(token, PHONE, now) is None
    assert "The list of revoked links cannot be written" in caplog.text


@pytest.mark.django_db
def test_rotating_stops_the_old_and_keeps_label_kind_and_days(desk, linked, now):
    link, token = make_link(
        by=desk, client=linked, label="Watch", now=now, kind=CALENDAR, expires_on=now.date() + timedelta(days=30)
    )
    fresh, new = rotate_link(by=desk, link=link, now=now + timedelta(days=10))
    assert link_of_token(token, CALENDAR, now) is None
    found = link_of_token(new, CALENDAR, now)
    assert found == fresh
    assert (fresh.label, fresh.kind, fresh.expires_on) == ("Watch", CALENDAR, date(2027, 1, 3))


@pytest.mark.django_db
def test_a_second_press_on_rotate_makes_no_second_link(desk, made, now):
    link, _ = made
    rotate_link(by=desk, link=link, now=now)
    with pytest.raises(ValidationError, match="revoked already"):
        rotate_link(by=desk, link=link, now=now)
    assert ClientLink.objects.filter(revoked_at=None).count() == 1


@pytest.mark.django_db
@pytest.mark.parametrize("days", [-1, 367, 100_000])
def test_a_last_day_behind_or_far_ahead_is_refused(desk, linked, now, days):
    with pytest.raises(ValidationError, match="cannot be the last day"):
        make_link(by=desk, client=linked, label="x", now=now, expires_on=now.date() + timedelta(days=days))
    assert not ClientLink.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("label", ["", "x" * 61, "\x00"])
def test_a_label_that_cannot_be_kept_is_refused(desk, linked, now, label):
    with pytest.raises(ValidationError):
        make_link(by=desk, client=linked, label=label, now=now)
    assert not ClientLink.objects.exists()


@pytest.mark.django_db
def test_an_archived_client_gets_no_link_and_an_old_one_rests(desk, linked, made, now):
    link, token = made
    Client.objects.filter(pk=linked.pk).update(archived_on=now.date())
    assert link_of_token(token, PHONE, now) is None
    for attempt in (
        lambda: make_link(by=desk, client=linked, label="x", now=now),
        lambda: rotate_link(by=desk, link=link, now=now),
    ):
        with pytest.raises(ValidationError, match="is archived"):
            attempt()
    Client.objects.filter(pk=linked.pk).update(archived_on=None)
    assert link_of_token(token, PHONE, now) == link


@pytest.mark.django_db
def test_no_act_on_a_link_is_undone(desk, made, now):
    link, token = made
    revoke_link(by=desk, link=link, now=now)
    for act in Act.objects.filter(actor=desk):
        with pytest.raises(UndoConflict, match="Links are not undone"):
            undo(act, by=desk)
    assert link_of_token(token, PHONE, now) is None


@pytest.mark.django_db
def test_a_link_opens_through_its_last_day_where_the_client_is(now):
    """Sun 23 May 2027 ends at 10:00 UTC in Kiritimati (UTC+14) and at 11:00 UTC a day later in Pago Pago (UTC-11).

    Source: the IANA time zone database.
    """
    for zone, last in (
        ("Pacific/Kiritimati", datetime.fromisoformat("2027-05-23T10:00+00:00")),
        ("Pacific/Pago_Pago", datetime.fromisoformat("2027-05-24T11:00+00:00")),
        ("UTC", datetime.fromisoformat("2027-05-24T00:00+00:00")),
    ):
        link = ClientLinkFactory(client=ClientFactory(time_zone=zone), token="A" * 20 + zone[0] * 23)
        token = "A" * 20 + zone[0] * 23
        assert link_of_token(token, PHONE, last - timedelta(seconds=1)) == link, zone
        assert link_of_token(token, PHONE, last) is None, zone
        link.delete()
