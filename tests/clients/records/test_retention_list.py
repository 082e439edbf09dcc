"""Asking whether old data stay: who is asked about and from which day, keeping with a reason, and never by itself."""

from datetime import date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from clients.models import Client, RetentionReview
from clients.records.retention import due_clients, months_before, retention_rows
from clients.records.services import erase_client
from clients.services import archive_client, create_client, keep_client_data, set_retention_months
from coachdesk.practice.models import Act, Change, Practice
from coachdesk.practice.tape import undo
from programs.logs.models import SessionLog
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory

pytestmark = pytest.mark.django_db
# Thirty-six months before the tests' today, 24 Nov 2026, by the calendar.
LAST = date(2023, 11, 24)
LIST, MONTHS = "/clients/retention/", "/clients/retention/months/"


def seen(desk, *days: date, **fields) -> Client:
    """A client with a session log on each of these days."""
    client = ClientFactory(coach=desk, **fields)
    for day in days:
        SessionLog.objects.create(client=client, done_on=day, logged_at=datetime.fromisoformat(f"{day}T12:00Z"))
    return client


def due(desk, now) -> list[Client]:
    return list(due_clients(desk, now))


@pytest.mark.parametrize(
    ("day", "months", "before"),
    [
        (date(2026, 11, 24), 36, LAST), (date(2026, 3, 31), 1, date(2026, 2, 28)),
        (date(2024, 3, 31), 1, date(2024, 2, 29)), (date(2027, 2, 28), 36, date(2024, 2, 28)),
        (date(2026, 1, 15), 1, date(2025, 12, 15)), (date(2026, 12, 31), 12, date(2025, 12, 31)),
        (date(2026, 11, 24), 240, date(2006, 11, 24)),
    ],
)  # fmt: skip
def test_months_go_back_by_the_calendar(day, months, before):
    assert months_before(day, months) == before


def test_the_last_session_log_counts_to_the_day(desk, now):
    past = seen(desk, date(2020, 1, 1), LAST)
    seen(desk, date(2020, 1, 1), LAST + timedelta(days=1))
    assert due(desk, now) == [past]
    assert due(desk, now - timedelta(days=1)) == []


def test_an_archived_client_with_logs_counts_from_the_last_log(desk, now):
    seen(desk, date(2026, 1, 1), archived_on=date(2020, 1, 1))
    old = seen(desk, LAST, archived_on=date(2026, 1, 1))
    assert due(desk, now) == [old]


def test_without_logs_the_day_of_archiving_counts(desk, now):
    first = ClientFactory(coach=desk, archived_on=LAST)
    ClientFactory(coach=desk, archived_on=LAST + timedelta(days=1))
    assert due(desk, now) == [first]
    row = retention_rows(desk, now)[0]
    assert (row.on, row.what) == (LAST, "archived")


def test_without_logs_and_not_archived_the_day_of_adding_counts_where_the_practice_is(desk, now):
    Practice.objects.filter(pk=desk.practice_id).update(time_zone="Asia/Tokyo")
    desk.practice.refresh_from_db()
    # Tokyo is nine hours ahead: 14:59 UTC is the last minute of that day there.
    late = create_client(by=desk, now=datetime.fromisoformat("2023-11-24T14:59Z"), name="Late")
    create_client(by=desk, now=datetime.fromisoformat("2023-11-24T15:00Z"), name="Next Day")
    assert due(desk, now) == [late]
    row = retention_rows(desk, now)[0]
    assert (row.on, row.what) == (LAST, "added")


def test_one_of_whom_nothing_is_known_is_asked_about(desk, now):
    client = ClientFactory(coach=desk)
    assert [(row.client, row.on, row.what) for row in retention_rows(desk, now)] == [(client, None, "not known")]


def test_a_kept_client_is_asked_about_again_on_the_day(desk, now):
    client = seen(desk, LAST)
    keep_client_data(by=desk, client=client, now=now, reason="Comes back.", again_on=date(2027, 1, 10))
    assert due(desk, now) == []
    assert due(desk, datetime.fromisoformat("2027-01-09T12:00Z")) == []
    again = datetime.fromisoformat("2027-01-10T12:00Z")
    row = retention_rows(desk, again)[0]
    assert (row.client, row.kept_on, row.kept_for) == (client, now.date(), "Comes back.")
    keep_client_data(by=desk, client=client, now=again, reason="Still.", again_on=date(2028, 1, 10))
    assert due(desk, again) == []
    assert client.retention_reviews.count() == 2


def test_the_same_answer_twice_is_kept_once(desk, now):
    client = seen(desk, LAST)
    for _ in range(2):
        keep_client_data(by=desk, client=client, now=now, reason="Comes back.", again_on=date(2027, 1, 10))
    assert client.retention_reviews.count() == 1


def test_undoing_a_keep_asks_again(desk, now):
    client = seen(desk, LAST)
    keep_client_data(by=desk, client=client, now=now, reason="Comes back.", again_on=date(2027, 1, 10))
    act = Act.objects.latest("id")
    assert act.subject == f"client:{client.pk}"
    undo(act, by=desk)
    assert due(desk, now) == [client]
    assert not RetentionReview.objects.exists()


def test_erasing_takes_the_answers_and_their_words_on_the_tape(desk, now):
    client = seen(desk, LAST)
    keep_client_data(by=desk, client=client, now=now, reason="Comes back.", again_on=date(2027, 1, 10))
    erase_client(by=desk, client=client, typed=client.name, now=now)
    assert not RetentionReview.objects.exists()
    kept = Change.objects.filter(model="clients.retentionreview")
    assert [(one.before, one.after) for one in kept] == [(None, None)]


def test_the_owner_sees_all_a_coach_their_own_and_a_stranger_none(desk, owner, stranger, now):
    mine, others = seen(desk, LAST), seen(MembershipFactory(practice=desk.practice), LAST)
    assert due(desk, now) == [mine]
    assert set(due(owner, now)) == {mine, others}
    assert due(stranger, now) == []


def test_the_page_leads_to_erasing_and_keeping_and_changes_nothing(as_coach, desk):
    client = seen(desk, date(2015, 1, 1), name="Una Old")
    before = (Client.objects.count(), Act.objects.count())
    page = as_coach.get(LIST).content.decode()
    assert "Una Old" in page
    assert "1 Jan 2015" in page
    assert reverse("clients:client_erase", args=[client.pk]) in page
    assert reverse("clients:client_keep", args=[client.pk]) in page
    assert "common practice, no source" in page
    assert "Local law and professional rules decide" in page
    assert (Client.objects.count(), Act.objects.count()) == before


def test_keeping_goes_through_the_page(as_coach, desk):
    client = seen(desk, date(2015, 1, 1), name="Una Old")
    again = timezone.now().date() + timedelta(days=100)
    url = reverse("clients:client_keep", args=[client.pk])
    assert as_coach.post(url, {"reason": "Comes back.", "again_on": again.isoformat()}).status_code == 302
    row = client.retention_reviews.get()
    assert (row.reason, row.again_on, row.reviewed_by) == ("Comes back.", again, desk)
    as_coach.get(LIST)  # the message that names the client is shown once
    assert "Una Old" not in as_coach.get(LIST).content.decode()
    assert "Comes back." in as_coach.get(reverse("clients:client_records", args=[client.pk])).content.decode()


@pytest.mark.parametrize(
    "typed",
    [
        {"reason": ""}, {"reason": "x" * 201}, {"reason": "x" * 1_000_000}, {"reason": "\x00"}, {"again_on": ""},
        {"again_on": "x"}, {"again_on": "\x00"}, {"again_on": "2020-01-01"}, {"again_on": "9999-12-31"},
    ],
)  # fmt: skip
def test_a_bad_answer_is_not_kept(as_coach, desk, typed):
    client = seen(desk, LAST)
    good = {"reason": "Comes back.", "again_on": (timezone.now().date() + timedelta(days=9)).isoformat()}
    answer = as_coach.post(reverse("clients:client_keep", args=[client.pk]), {**good, **typed})
    assert answer.status_code == 422
    assert not RetentionReview.objects.exists()


def test_the_day_to_ask_again_lies_after_today(desk, now):
    client = seen(desk, LAST)
    with pytest.raises(ValidationError, match="24 Nov 2026 cannot be the day"):
        keep_client_data(by=desk, client=client, now=now, reason="Stays.", again_on=now.date())
    assert keep_client_data(by=desk, client=client, now=now, reason="Stays.", again_on=date(2026, 11, 25)).pk


def test_other_coaches_find_nothing_and_assistants_may_not(desk, as_assistant, client, stranger):
    url = reverse("clients:client_keep", args=[seen(desk, LAST).pk])
    client.force_login(MembershipFactory(practice=desk.practice).user)
    assert client.post(url, {"reason": "Mine"}).status_code == client.get(url).status_code == 404
    client.force_login(stranger.user)
    assert client.get(url).status_code == 404
    assert as_assistant.get(url).status_code == as_assistant.get(LIST).status_code == 403
    assert as_assistant.post(url, {"reason": "Mine"}).status_code == 403


def test_the_owner_sets_the_months_and_can_take_it_back(as_owner, as_coach, owner, desk, now):
    client = seen(desk, date(2026, 9, 24))
    assert due(desk, now) == []
    assert as_coach.post(MONTHS, {"months": "2"}).status_code == 403
    assert as_owner.post(MONTHS, {"months": "2"}).status_code == 302
    desk.practice.refresh_from_db()
    assert desk.practice.retention_months == 2
    assert due(desk, now) == [client]
    undo(Act.objects.latest("id"), by=owner)
    desk.practice.refresh_from_db()
    assert desk.practice.retention_months == 36


@pytest.mark.parametrize("months", ["", "0", "241", "-1", "x", "1.5", "\x00", "9" * 1_000_000])
def test_bad_months_are_refused(as_owner, owner, months):
    answer = as_owner.post(MONTHS, {"months": months})
    assert answer.status_code == 422
    assert Practice.objects.get(pk=owner.practice_id).retention_months == 36


def test_the_service_refuses_months_out_of_range(owner, now):
    with pytest.raises(ValidationError, match="1 to 240"):
        set_retention_months(by=owner, now=now, months=241)


def test_the_client_list_leads_there_only_when_there_is_somebody(as_coach, as_assistant, desk):
    client = seen(desk, timezone.now().date())
    assert LIST not in as_coach.get("/clients/").content.decode()
    with CaptureQueriesContext(connection) as without:
        as_coach.get("/clients/")
    SessionLog.objects.filter(client=client).update(done_on=date(2015, 1, 1))
    with CaptureQueriesContext(connection) as with_link:
        assert LIST in as_coach.get("/clients/").content.decode()
    assert len(with_link) == len(without)
    assert sum("clients_retentionreview" in one["sql"] for one in with_link) == 1
    with CaptureQueriesContext(connection) as typing:
        as_coach.get("/clients/?q=a", headers={"HX-Request": "true"})
    assert not [one for one in typing if "clients_retentionreview" in one["sql"]]
    assert LIST not in as_assistant.get("/clients/").content.decode()


def test_the_list_takes_as_many_queries_for_many_as_for_one(as_coach, desk):
    seen(desk, LAST)
    with CaptureQueriesContext(connection) as one:
        as_coach.get(LIST)
    for _ in range(5):
        seen(desk, LAST)
    with CaptureQueriesContext(connection) as six:
        as_coach.get(LIST)
    assert len(six) == len(one)


def test_archiving_today_without_logs_asks_much_later(desk, now):
    client = create_client(by=desk, now=datetime.fromisoformat("2010-01-01T12:00Z"), name="Long Here")
    assert due(desk, now) == [client]
    archive_client(by=desk, client=client, now=now)
    assert due(desk, now) == []
