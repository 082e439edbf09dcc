"""The edge of a day where coach and client live apart, and addresses edited by hand: all pages are asked."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from clients.models import Client
from clients.selectors import days_during
from coachdesk.practice.models import Practice
from programs.logs.across.programme import program_clients
from programs.logs.models import MuscleWeek, SessionLog
from programs.logs.phone.entries import SetDone
from programs.logs.phone.services import record_entry
from programs.logs.selectors.needs import worked_out
from programs.models import PlannedSession
from programs.services import assign_program
from tests.factories.clients import ClientFactory
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, logged
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)
from tests.factories.review import review_pages, words_of

pytestmark = pytest.mark.django_db
# UTC+14 and UTC-11, the two ends of the day (IANA time zone database).
AHEAD, BEHIND = "Pacific/Kiritimati", "Pacific/Pago_Pago"
WRITTEN = SetDone("1-1-1-b", as_written=True)


def said_at(zone, now, ago_s=0.0, **fields):
    """The day and the week of a set that was said on a phone there and then."""
    sheet = IssuedSheetFactory(
        client=ClientFactory(time_zone=zone, **fields), for_on=date(2026, 1, 1), issued_at=now - timedelta(days=30)
    )
    record_entry(client=sheet.client, sheet=sheet, key=uuid4(), entry=WRITTEN, now=now, ago_s=ago_s)
    log = SessionLog.objects.get(client=sheet.client)
    (week,) = set(MuscleWeek.objects.filter(client=sheet.client).values_list("monday", flat=True))
    assert set(log.sets.values_list("done_on", flat=True)) == {log.done_on}
    return log.done_on, week


@pytest.mark.parametrize(
    ("zone", "at", "day", "monday"),
    [
        # Sunday noon in Greenwich is Monday there, a week that has just begun; and still Sunday at the other end.
        (AHEAD, "2026-11-29T12:00", "2026-11-30", "2026-11-30"),
        (BEHIND, "2026-11-29T12:00", "2026-11-29", "2026-11-23"),
        # The last minute of Sunday and the first of Monday, by each one's own clock.
        (AHEAD, "2026-11-29T09:59", "2026-11-29", "2026-11-23"),
        (AHEAD, "2026-11-29T10:00", "2026-11-30", "2026-11-30"),
        (BEHIND, "2026-11-30T10:59", "2026-11-29", "2026-11-23"),
        (BEHIND, "2026-11-30T11:00", "2026-11-30", "2026-11-30"),
        # Summer time ends in New York on Sun 1 Nov 2026 and begins on Sun 8 Mar (IANA): 25 and 23 hours.
        ("America/New_York", "2026-11-01T03:59", "2026-10-31", "2026-10-26"),
        ("America/New_York", "2026-11-01T04:00", "2026-11-01", "2026-10-26"),
        ("America/New_York", "2026-11-02T04:59", "2026-11-01", "2026-10-26"),
        ("America/New_York", "2026-11-02T05:00", "2026-11-02", "2026-11-02"),
        ("America/New_York", "2026-03-08T04:59", "2026-03-07", "2026-03-02"),
        ("America/New_York", "2026-03-08T05:00", "2026-03-08", "2026-03-02"),
        ("America/New_York", "2026-03-09T03:59", "2026-03-08", "2026-03-02"),
        ("America/New_York", "2026-03-09T04:00", "2026-03-09", "2026-03-09"),
    ],
)
def test_a_set_belongs_to_the_day_and_week_of_whoever_did_it(zone, at, day, monday):
    found = said_at(zone, datetime.fromisoformat(at).replace(tzinfo=UTC))
    assert found == (date.fromisoformat(day), date.fromisoformat(monday))


def test_hours_are_counted_back_over_the_change_of_the_clocks():
    """Said at 23:30 on Sat 31 Oct in New York, sent 26 hours later: the Sunday between has 25 hours."""
    sent = datetime(2026, 11, 2, 5, 30, tzinfo=UTC)
    assert said_at("America/New_York", sent, ago_s=26 * 3600)[0] == date(2026, 10, 31)


def test_the_days_of_a_client_while_it_is_one_day_at_the_practice():
    here = Practice(time_zone="Europe/Lisbon")
    for zone, days in {"Europe/Lisbon": (24, 24), AHEAD: (24, 25), BEHIND: (23, 24), "Nowhere/Here": (24, 24)}.items():
        client = Client(practice=here, time_zone=zone)
        assert days_during(client, TUESDAY) == tuple(date(2026, 11, day) for day in days)


@pytest.fixture
def template(desk):
    made, press = ProgramFactory(coach=desk, name="Base block"), ExerciseFactory(name="Bench press")
    for day in range(7):
        PlannedExerciseFactory(session=PlannedSessionFactory(program=made, day=day, name=f"Day {day}"), exercise=press)
    return made


def trains(desk, template, zone):
    """A session on every day of this week; only Monday's was done."""
    one = ClientFactory(coach=desk, name="Amara Tolledo", time_zone=zone)
    assign_program(by=desk, program=template, client=one, start_on=MONDAY, today=MONDAY, now=NOON)
    do(one, 0, NOON)
    return one


def do(one, day, now):
    planned = PlannedSession.objects.get(block__program__client=one, day=day)
    sheet = IssuedSheetFactory(client=one, planned_session=planned, for_on=MONDAY + timedelta(days=day))
    return logged(sheet, done_on=MONDAY + timedelta(days=day), now=now)


def seen(one, today):
    made = worked_out([Client.objects.select_related("coach__user", "place", "practice").get(pk=one.pk)], today)[one.pk]
    return made.value["done"], made.value["missed"], made.value["next"][2], made.last_on


def test_a_session_is_not_missed_before_its_day_is_over_where_the_client_is(desk, template):
    """It is Wednesday at the practice (UTC); in Pago Pago Tuesday goes on until 11:00 UTC."""
    wednesday = TUESDAY + timedelta(days=1)
    behind = trains(desk, template, BEHIND)
    assert seen(behind, wednesday) == (1, 0, "Day 1", MONDAY)
    assert seen(trains(desk, template, "UTC"), wednesday) == (1, 1, "Day 2", MONDAY)
    rows = {row.client.time_zone: (row.done, row.due) for row in program_clients(desk, template, today=wednesday).rows}
    assert rows == {BEHIND: (1, 1), "UTC": (1, 2)}


def test_a_session_done_on_a_day_that_the_practice_has_not_reached_is_done(desk, template, as_coach):
    """Tuesday noon in Greenwich is Wednesday, 02:00, in Kiritimati."""
    ahead = trains(desk, template, AHEAD)
    do(ahead, 1, NOON)
    log = do(ahead, 2, NOON)
    assert log.done_on == TUESDAY + timedelta(days=1)
    assert seen(ahead, TUESDAY) == (3, 0, "Day 3", log.done_on)
    (row,) = program_clients(desk, template, today=TUESDAY).rows
    assert (row.done, row.due) == (3, 3)
    for name, url in review_pages(ahead, template=template, log=log).items():
        page = as_coach.get(url)
        assert page.status_code == 200, name
        assert "still to come: correct it" not in page.content.decode()
        assert "with a day still to come" not in page.content.decode()


NAMES = {
    "roster": ("q", "coach", "goal", "flag", "muscle", "precaution", "program", "seen", "after", "colour"),
    "muscles": ("week", "muscle", "colour"),
    "programme's clients": ("exercise", "colour"),
    "client": ("colour",),
    "sessions": ("before", "colour"),
    "trends": ("muscle", "exercise", "weeks", "until", "colour"),
    "blocks": ("one", "other", "colour"),
    "next week": ("flag", "remedy", "colour"),
    "effort": ("colour",),
    "calendar": ("month", "week", "colour"),
    "report": ("first", "last", "colour"),
    "programme": ("week", "for", "muscle", "colour"),
    "session log": ("at", "colour"),
}  # fmt: skip
ODD = (
    "", "\x00", "-1", "1e9", "99999999999999999999", "nan", "None", "[]", "\u0667", "2026-02-30", "0000-00-00",
    "9999-12-31", "0001-01-01", "../..", "' OR 1=1 --", "<script>alert(1)</script>", "x" * 100_000, "\U0001f3cb" * 500,
)  # fmt: skip


@pytest.mark.parametrize("share", [3, pytest.param(len(ODD), marks=pytest.mark.figures)])
def test_an_address_edited_by_hand_breaks_no_page_and_tells_nothing(as_coach, desk, stranger, template, share):
    """Every field of every page with odd values: in each run a few of them, all by `-m figures`."""
    one = trains(desk, template, "UTC")
    secret = str(logged(IssuedSheetFactory(client=ClientFactory(coach=stranger, name="Secret Person"))).pk)
    log = SessionLog.objects.get(client=one)
    pages, asked = review_pages(one, template=template, log=log), 0
    assert pages.keys() == NAMES.keys()
    for name, url in pages.items():
        for field in NAMES[name]:
            odd = [ODD[(asked + 7 * n) % len(ODD)] for n in range(share)]
            for value in (*odd, secret, ["1", "\x00", secret]):
                answer = as_coach.get(url, {field: value})
                asked += 1
                assert answer.status_code in ({200, 422} if name == "report" else {200}), (name, field, str(value)[:80])
                page = answer.content.decode()
                assert "Secret Person" not in page, (name, field)
                assert "<script>alert" not in page, (name, field)
    assert asked == sum(map(len, NAMES.values())) * (share + 2)


def test_a_page_of_another_clients_sessions_cannot_be_asked_for(as_coach, desk, stranger, template):
    one, theirs = trains(desk, template, "UTC"), logged(IssuedSheetFactory(client=ClientFactory(coach=stranger)))
    url = reverse("logs:client_sessions", args=[one.pk])
    first, again = words_of(as_coach.get(url)), words_of(as_coach.get(url, {"before": theirs.pk}))
    assert again == first
    assert "Mon 23 Nov 2026" in first
