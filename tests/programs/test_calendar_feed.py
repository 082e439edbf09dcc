"""The calendar a client subscribes to, held against RFC 5545 (iCalendar) by a reader of our own."""

import re
from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client as Browser
from hypothesis import given
from hypothesis import strategies as st

from clients.links.services import revoke_link
from clients.models import Client, ClientLink
from coachdesk.practice.models import Membership
from programs.calendar.feed import calendar_text, folded
from programs.models import PlannedSession
from programs.services import assign_program
from tests.factories.clients import ClientFactory, ClientLinkFactory, PrecautionFactory, ScreeningFactory
from tests.factories.programs import MONDAY, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory
from tests.faults.machinery import everything

TOKEN = "Ab-_" * 10 + "xyz"
PATH = f"/c/{TOKEN}/sessions.ics"
NOW = datetime(2026, 11, 24, 12, 0, tzinfo=UTC)
# 3.1: name *(";" param) ":" value, without control signs but for the tab.
LINE = re.compile(r"([A-Z0-9-]+)((?:;[A-Z0-9-]+=[^\x00-\x08\x0a-\x1f\x7f\";:,]+)*):([^\x00-\x08\x0a-\x1f\x7f]*)")
Event = dict[str, str]


def read(text: str) -> list[Event]:
    """The events of a calendar, with every rule that it could break checked on the way."""
    assert text.endswith("\r\n")
    raw = text.encode().split(b"\r\n")[:-1]
    assert not [one for one in raw if b"\r" in one or b"\n" in one]  # 3.1: lines end with CR LF and nothing else does
    assert max(map(len, raw)) <= 75  # 3.1: 75 octets, the line end left out
    assert [one.decode() for one in raw]  # no letter is cut in two
    lines = re.sub("\r\n[ \t]", "", text).split("\r\n")[:-1]
    parsed = []
    for line in lines:
        found = LINE.fullmatch(line)
        assert found, line
        parsed.append((found[1], found[2], found[3]))
    assert parsed[0] == ("BEGIN", "", "VCALENDAR")
    assert parsed[-1] == ("END", "", "VCALENDAR")
    names = [name for name, _, _ in parsed]
    assert names.count("PRODID") == names.count("VERSION") == 1  # 3.6: both once
    assert ("VERSION", "", "2.0") in parsed  # 3.7.4
    assert names.count("BEGIN") >= 2  # 3.6: at least one component
    return _events(parsed)


def _events(parsed: list[tuple[str, str, str]]) -> list[Event]:
    events: list[Event] = []
    stack: list[str] = []
    for name, parameters, value in parsed:
        if name == "BEGIN":
            stack.append(value)
            events += [{}] if value == "VEVENT" else []
        elif name == "END":
            assert stack.pop() == value
        elif stack[-1] == "VEVENT":
            assert name not in events[-1]  # 3.6.1: each of these at most once
            events[-1][name] = value
            assert (parameters == ";VALUE=DATE") == (name in ("DTSTART", "DTEND"))  # 3.8.2.4, 3.3.4
    for event in events:
        assert {"UID", "DTSTAMP"} <= set(event)  # 3.6.1
        assert re.fullmatch(r"\d{8}T\d{6}Z", event["DTSTAMP"])  # 3.8.7.2: in UTC
        assert day_of(event["DTEND"]) - day_of(event["DTSTART"]) == timedelta(days=1)  # 3.6.1: the end is not within
        assert not re.search(r"(?<!\\)(?:\\\\)*[;,]", event["SUMMARY"])  # 3.3.11
        assert not re.search(r"(?<!\\)(?:\\\\)*\\[^\\;,nN]", event["SUMMARY"])
    assert len({event["UID"] for event in events}) == len(events)  # 3.8.4.7
    return events


def day_of(text: str) -> date:
    return datetime.strptime(text, "%Y%m%d").date()


def said(value: str) -> str:
    """A text value as it was before it was escaped (3.3.11)."""
    return re.sub(r"\\(.)", lambda found: "\n" if found[1] in "nN" else found[1], value)


@pytest.fixture
def planned(desk: Membership, linked: Client) -> PlannedSession:
    """Session of Monday 23 Nov 2026 of the client whose calendar TOKEN opens."""
    ClientLinkFactory(client=linked, token=TOKEN, calendar=True)
    return PlannedSessionFactory(program=ProgramFactory(coach=desk, client=linked), name="Upper A, heavy; long")


def got(browser: Browser) -> list[Event]:
    answer = browser.get(PATH)
    assert answer.status_code == 200
    return read(answer.content.decode())


@pytest.mark.django_db
def test_the_feed_holds_the_planned_sessions_of_its_client_and_no_others(anonymous, desk, planned):
    PlannedSessionFactory(program=ProgramFactory(coach=desk, client=ClientFactory(coach=desk)), name="Somebody else's")
    (event,) = got(anonymous)
    assert said(event["SUMMARY"]) == "Upper A, heavy; long"
    assert day_of(event["DTSTART"]) == MONDAY
    assert event["DTSTAMP"] == "20261124T120000Z"


@pytest.mark.django_db
def test_the_answer_is_a_calendar_that_nothing_keeps(anonymous, planned):
    answer = anonymous.get(PATH)
    assert answer["Content-Type"] == "text/calendar; charset=utf-8"  # RFC 5545, 3.1.4 and 8.1
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("no-store", "no-referrer")
    assert not answer.cookies


@pytest.mark.django_db
def test_a_uid_stays_when_a_session_is_renamed_or_moved(anonymous, planned):
    (before,) = got(anonymous)
    PlannedSession.objects.filter(pk=planned.pk).update(name="Lower", day=3)
    (after,) = got(anonymous)
    assert after["UID"] == before["UID"]
    assert (said(after["SUMMARY"]), day_of(after["DTSTART"])) == ("Lower", MONDAY + timedelta(days=3))


@pytest.mark.django_db
def test_two_copies_of_one_template_have_uids_of_their_own(anonymous, desk, linked, planned, now):
    template = ProgramFactory(coach=desk, name="Base")
    PlannedExerciseFactory(session=PlannedSessionFactory(program=template))
    for weeks in (4, 8):
        start = MONDAY + timedelta(weeks=weeks)
        assign_program(by=desk, program=template, client=linked, start_on=start, today=MONDAY, now=now)
    assert len({event["UID"] for event in got(anonymous)}) == 3


@pytest.mark.django_db
def test_nothing_about_health_or_who_is_meant_is_in_it(anonymous, linked, planned):
    PrecautionFactory(client=linked, words="Left knee")
    ScreeningFactory(client=linked, note="Dizzy")
    PlannedSession.objects.filter(pk=planned.pk).update(note="Mind the elbow")
    text = anonymous.get(PATH).content.decode()
    for word in ("knee", "Dizzy", "elbow", "Vera", "Lindholm", "North Hall", "Ana"):
        assert word not in text


@pytest.mark.django_db
def test_an_empty_plan_is_still_a_calendar(anonymous, linked):
    ClientLinkFactory(client=linked, token=TOKEN, calendar=True)
    assert got(anonymous) == []


@pytest.mark.django_db
def test_what_is_long_past_or_archived_is_left_out(anonymous, desk, linked, planned):
    old = ProgramFactory(coach=desk, client=linked, start_on=MONDAY - timedelta(weeks=20))
    PlannedSessionFactory(program=old, name="Old")
    gone = ProgramFactory(coach=desk, client=linked, start_on=MONDAY, archived_on=MONDAY)
    PlannedSessionFactory(program=gone, name="Gone")
    assert [said(event["SUMMARY"]) for event in got(anonymous)] == ["Upper A, heavy; long"]


@pytest.mark.django_db
def test_fetching_writes_nothing_and_costs_the_same_for_many(anonymous, planned, django_assert_num_queries):
    before = everything()
    with django_assert_num_queries(2):
        assert len(got(anonymous)) == 1
    assert anonymous.head(PATH).status_code == 200
    assert everything() == before
    for day in range(1, 7):
        PlannedSessionFactory(program=planned.block.program, day=day)
    with django_assert_num_queries(2):
        assert len(got(anonymous)) == 7


@pytest.mark.django_db
def test_each_kind_of_link_opens_its_own_and_nothing_else(anonymous, as_client, linked, planned):
    phone = "P" * 43
    ClientLinkFactory(client=linked, token=phone)
    assert anonymous.get(f"/c/{TOKEN}/").status_code == 404
    assert anonymous.get(f"/c/{phone}/sessions.ics").status_code == 404
    # A cookie is no way to the feed: calendar programs have none.
    assert as_client.get("/c/sessions.ics/sessions.ics").status_code == 404


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["post", "put", "patch", "delete", "options"])
def test_a_feed_is_only_read(anonymous, planned, method):
    assert getattr(anonymous, method)(PATH).status_code == 405


@pytest.mark.django_db
@pytest.mark.parametrize("how", ["revoked", "expired", "archived", "erased", "unknown"])
def test_a_feed_stops_with_its_link(anonymous, desk, linked, planned, now, how):
    link = ClientLink.objects.get()
    if how == "revoked":
        revoke_link(by=desk, link=link, now=now)
    elif how == "expired":
        ClientLink.objects.update(made_on="2026-01-01", expires_on="2026-11-23")
    elif how == "archived":
        Client.objects.filter(pk=linked.pk).update(archived_on=now.date())
    elif how == "erased":
        linked.delete()
    path = PATH if how != "unknown" else PATH.replace("Ab", "zz", 1)
    answer = anonymous.get(path)
    assert (answer.status_code, "This link no longer works" in answer.content.decode()) == (404, True)
    assert TOKEN not in answer.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("token", ["A" * 1_000_000, "%00", "..", "%2e%2e%2f", "é" * 43, f"{TOKEN}%0D%0AX:1", " " * 43])
def test_nonsense_for_a_token_is_no_feed(anonymous, planned, token):
    assert anonymous.get(f"/c/{token}/sessions.ics").status_code == 404


def session(name: str, pk: int = 1) -> PlannedSession:
    return PlannedSession(pk=pk, name=name)


@given(st.lists(st.text(max_size=200), max_size=5))
def test_any_name_makes_a_calendar_that_holds_to_the_rules_and_reads_back(names):
    made = calendar_text([(MONDAY, session(name, n)) for n, name in enumerate(names, 1)], NOW)
    plain = [re.sub("\r\n?|[\x85\u2028\u2029]", "\n", name) for name in names]
    kept = [re.sub(r"[\x00-\x08\x0b-\x1f\x7f]", "", name) for name in plain]
    assert [said(event["SUMMARY"]) for event in read(made)] == kept


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("a;b,c\\d", r"a\;b\,c\\d"), ("one\r\ntwo\nthree\rfour", r"one\ntwo\nthree\nfour"), ("\\n", r"\\n"),
        ("END:VEVENT\r\nEND:VCALENDAR", r"END:VEVENT\nEND:VCALENDAR"), ("a\x00\x07\x7fb\tc", "ab\tc"),
        ("one\u2028two\x85three", r"one\ntwo\nthree"),
    ],
)  # fmt: skip
def test_text_is_escaped_as_the_standard_says(name, value):
    (event,) = read(calendar_text([(MONDAY, session(name))], NOW))
    assert event["SUMMARY"] == value


@pytest.mark.parametrize("size", [66, 67, 68, 140, 141, 142])
@pytest.mark.parametrize("sign", ["a", "é", "中", "💪"])
def test_lines_are_folded_at_75_octets_between_letters(size, sign):
    parts = list(folded(f"SUMMARY:{sign * size}"))
    assert "".join([parts[0], *(part[1:] for part in parts[1:])]) == f"SUMMARY:{sign * size}"
    assert all(part.startswith(" ") for part in parts[1:])
    octets = [len(part.encode()) for part in parts]
    assert max(octets) <= 75
    # As full as they can be: the next letter would not have fitted.
    assert all(one + len(sign.encode()) > 75 for one in octets[:-1])


@pytest.mark.django_db
@pytest.mark.parametrize(("zone", "ahead"), [("Pacific/Kiritimati", 1), ("UTC", 0), ("Pacific/Pago_Pago", 0)])
def test_a_day_stays_that_day_and_a_year_ahead_counts_from_the_clients_own_today(
    anonymous, desk, linked, planned, zone, ahead
):
    """At noon UTC on Tue 24 Nov 2026 it is Wed 25 in Kiritimati, so Fri 26 Nov 2027 is 366 days ahead there only."""
    later = ProgramFactory(coach=desk, client=linked, start_on=date(2027, 11, 22))
    PlannedSessionFactory(program=later, day=4)
    Client.objects.update(time_zone=zone)
    days = [day_of(event["DTSTART"]) for event in got(anonymous)]
    assert days == [MONDAY, *[date(2027, 11, 26)] * ahead]
