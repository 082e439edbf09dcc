"""The home page: every client a row, those who need the coach first."""

import re
from datetime import date, timedelta
from uuid import uuid4

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from clients.models import Client
from programs.logs import services
from programs.logs.models import ClientNeed, MuscleWeek
from programs.logs.selectors import RosterFilter, roster_page
from programs.models import StrengthEstimate
from tests.factories.clients import (
    ClientFactory,
    HouseRuleFactory,
    MarkedMuscleFactory,
    PlaceFactory,
    ScreeningFactory,
)
from tests.factories.logs import NOON, TUESDAY, IssuedSheetFactory, logged
from tests.factories.practice import MembershipFactory
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

MONDAY = date(2026, 11, 23)
pytestmark = pytest.mark.django_db
HOME = "/"


def program_for(client, *, start_on=MONDAY - timedelta(weeks=2), weeks=8, days=(0, 3), exercise=None, scheme=None):
    """Sessions on these days of every week, each with one press."""
    made = ProgramFactory(client=client, coach=client.coach, start_on=start_on, weeks=weeks)
    press = exercise or ExerciseFactory()
    for week_no in range(1, weeks + 1):
        for day in days:
            session = PlannedSessionFactory(program=made, week_no=week_no, day=day, name="Upper A")
            PlannedExerciseFactory(session=session, exercise=press, scheme=scheme or scheme_json())
    return made


def rows_of(desk, **wanted):
    """The first page as it stands when every row is up to date; factories write past the tape, so all are marked."""
    pks = list(Client.objects.filter(practice=desk.practice, archived_on=None).values_list("pk", flat=True))
    services.refresh_needs(desk.practice, pks, TUESDAY)
    return roster_page(desk, today=TUESDAY, wanted=RosterFilter(**wanted)).rows


def row_of(desk, client):
    return next(row for row in rows_of(desk) if row.client.pk == client.pk)


def names(desk, **wanted):
    return [row.client.name for row in rows_of(desk, **wanted)]


def show(browser, **asked):
    """The page with every row worked out anew."""
    ClientNeed.objects.all().delete()
    return browser.get(HOME, asked)


def test_an_empty_roster_offers_the_first_step(as_coach, as_assistant):
    page = as_coach.get(HOME).content.decode()
    assert "The clients you coach are listed here" in page
    assert reverse("clients:client_new") in page
    assert reverse("programs:client_import") in page
    assert reverse("clients:client_new") not in as_assistant.get(HOME).content.decode()


def test_a_row_says_what_is_next_and_what_was_done(desk, as_coach):
    client = ClientFactory(coach=desk, name="Amara Tolledo")
    program_for(client)
    # Due from Tue 10 Nov on: Thu 12, Mon 16, Thu 19, Mon 23.
    for day in (TUESDAY - timedelta(days=5), TUESDAY - timedelta(days=1)):
        session = client.programs.get().blocks.get().sessions
        planned = session.get(week_no=(day - MONDAY).days // 7 + 3, day=day.weekday())
        logged(IssuedSheetFactory(client=client, planned_session=planned, for_on=day))
    row = row_of(desk, client)
    assert (row.done, row.planned, row.missed) == (2, 4, 2)
    assert (row.next.on, row.next.name) == (date(2026, 11, 26), "Upper A")
    assert row.ends_on == MONDAY + timedelta(weeks=6, days=-1)
    assert "Missed 2 of 4 sessions in 14 days" in row.need.words
    page = as_coach.get(HOME).content.decode()
    assert "2 of 4" in page
    assert "Thu 26 Nov" in page


def test_a_skipped_session_is_missed_but_no_longer_next(desk):
    client = ClientFactory(coach=desk)
    made = program_for(client, start_on=MONDAY, days=(1,))
    today = made.blocks.get().sessions.get(week_no=1)
    sheet = IssuedSheetFactory(client=client, planned_session=today)
    assert row_of(desk, client).next.on == TUESDAY
    services.skip_session(by=desk, sheet=sheet, key=uuid4(), skipped_why="ill", on=TUESDAY, now=NOON)
    assert row_of(desk, client).next.on == TUESDAY + timedelta(weeks=1)


def test_need_orders_the_rows(desk):
    calm = ClientFactory(coach=desk, name="Henrik Duarte")
    program_for(calm, start_on=MONDAY)
    StrengthEstimate.objects.create(
        client=calm, exercise=calm.programs.get().blocks.get().sessions.first().exercises.get().exercise, mean_kg=100,
        low_kg=95, high_kg=105, sd_log=0.03, trend_per_week=0.0, p_rising=0.5, last_on=TUESDAY, count=5,
    )  # fmt: skip
    ScreeningFactory(client=calm)
    ClientFactory(coach=desk, name="Nobody Planned")
    stopped = ClientFactory(coach=desk, name="Saba Keretu")
    program_for(stopped, start_on=MONDAY, scheme=scheme_json(reps="failure"))
    found = rows_of(desk)
    assert [row.client.name for row in found] == ["Saba Keretu", "Nobody Planned", "Henrik Duarte"]
    assert "No programme is running" in found[1].need.words
    assert found[0].severities[0][0] == "stop"
    assert found[0].need.words.startswith("1 stop")


def test_weights_are_house_rules_for_everyone_or_one_client(desk):
    idle, other = ClientFactory(coach=desk, name="Amara Tolledo"), ClientFactory(coach=desk, name="Nobody Planned")
    assert names(desk) == ["Amara Tolledo", "Nobody Planned"]
    HouseRuleFactory(practice=desk.practice, client=other, name="need_no_program", value=61)
    assert names(desk) == ["Nobody Planned", "Amara Tolledo"]
    assert row_of(desk, other).need.score == 61
    HouseRuleFactory(practice=desk.practice, name="need_no_program", value=0)
    assert row_of(desk, idle).need.words == "Nothing open"
    assert row_of(desk, other).need.words == "No programme is running"


def test_strength_that_does_not_rise_is_named_apart_from_what_falls(desk):
    client, row = ClientFactory(coach=desk), ExerciseFactory(name="Seated row")
    StrengthEstimate.objects.create(
        client=client, exercise=row, mean_kg=60, low_kg=55, high_kg=65, sd_log=0.03, trend_per_week=0.0,
        p_rising=0.2, last_on=TUESDAY, count=4,
    )  # fmt: skip
    assert "Strength not rising: Seated row" in row_of(desk, client).need.words
    assert "falling" not in row_of(desk, client).need.words


def test_a_stop_of_next_week_is_told_this_week(desk, as_coach):
    client = ClientFactory(coach=desk)
    made = program_for(client, start_on=MONDAY, days=(1,))
    assert "stop" not in row_of(desk, client).need.words
    # Sets to failure for somebody who was never screened.
    made.blocks.get().sessions.get(week_no=2).exercises.update(scheme=scheme_json(reps="failure"))
    row = row_of(desk, client)
    assert "1 stop next week: " in row.need.words
    assert ("stop", 1) in row.severities
    assert "1 stop next week: " in as_coach.get(HOME).content.decode()


def test_a_stop_of_a_programme_that_begins_next_week_is_told(desk):
    client = ClientFactory(coach=desk)
    program_for(client, start_on=MONDAY + timedelta(weeks=1), scheme=scheme_json(reps="failure"))
    assert "stop next week: " in row_of(desk, client).need.words
    later = ClientFactory(coach=desk)
    program_for(later, start_on=MONDAY + timedelta(weeks=2), scheme=scheme_json(reps="failure"))
    assert row_of(desk, later).need.reasons == ()


def test_falling_strength_is_named(desk):
    client, press = ClientFactory(coach=desk), ExerciseFactory(name="Bench press")
    StrengthEstimate.objects.create(
        client=client, exercise=press, mean_kg=90, low_kg=85, high_kg=95, sd_log=0.03, trend_per_week=-0.01,
        p_rising=0.04, last_on=TUESDAY, count=6,
    )  # fmt: skip
    assert "Strength falling: Bench press" in row_of(desk, client).need.words


def test_last_weeks_sets_stand_against_the_band(desk, as_coach):
    # Intermediate, size: 6 to 16 fractional sets (Pelland 2025, Schoenfeld 2017; upper end common practice).
    client = ClientFactory(coach=desk)
    MarkedMuscleFactory(client=client, muscle="lats")
    MarkedMuscleFactory(client=client, muscle="quads")
    last = MONDAY - timedelta(weeks=1)
    for muscle, sets in (("chest", 18_500), ("triceps", 9_000), ("lats", 3_000), ("biceps", 1_500)):
        MuscleWeek.objects.create(client=client, monday=last, muscle=muscle, sets=sets, sets_low=sets, sets_high=sets)
    bands = row_of(desk, client).bands
    assert (bands.below, bands.inside, bands.above, bands.low) == (2, 1, 1, 1)  # biceps: nobody asked for more
    assert bands.worst == "Quadriceps 0, below 6"
    page = as_coach.get("/").content.decode()
    assert '1 of 5 inside <span class="muted">Quadriceps 0, below 6 and 2 more</span>' in page


def test_a_muscle_is_above_only_by_the_low_count(desk):
    client = ClientFactory(coach=desk)
    MuscleWeek.objects.create(
        client=client,
        monday=MONDAY - timedelta(weeks=1),
        muscle="chest",
        sets=18_000,
        sets_low=12_000,
        sets_high=24_000,
    )
    assert row_of(desk, client).bands.above == 0


def test_search_folds_case_and_accents(desk, as_coach):
    for name in ("Zoë Łukasz", "Jürgen Måns", "Amara Tolledo"):
        ClientFactory(coach=desk, name=name)
    assert names(desk, query="zoe") == ["Zoë Łukasz"]
    assert names(desk, query="MANS jurgen") == ["Jürgen Måns"]
    page = as_coach.get(HOME, {"q": "nobody"}).content.decode()
    assert "nobody" in page
    assert "Show everybody" in page
    part = as_coach.get(HOME, {"q": "zoe"}, headers={"HX-Request": "true"})
    assert part.content.decode().lstrip().startswith('<div id="roster">')
    assert part["Vary"].count("HX-Request") == 1


@pytest.mark.parametrize("query", ["\x00", "%", "_", "'; --", "x" * 5000, "\u0301" * 50, "🏋"])
def test_odd_searches_find_nothing_and_break_nothing(desk, as_coach, query):
    ClientFactory(coach=desk, name="Amara Tolledo")
    assert as_coach.get(HOME, {"q": query, "coach": query}).status_code == 200


def test_the_owner_sees_all_and_filters_by_coach(desk, owner, as_owner, as_coach):
    mine, theirs = ClientFactory(coach=desk, name="Mine"), MembershipFactory(practice=desk.practice)
    ClientFactory(coach=theirs, name="Theirs")
    ClientFactory(coach=desk, name="Gone", archived=True)
    assert set(names(owner)) == {"Mine", "Theirs"}
    page = as_owner.get(HOME, {"coach": desk.pk}).content.decode()
    assert mine.name in page
    assert "Theirs</a>" not in page
    # A coach sees the own clients only, whatever the address says.
    assert "Theirs</a>" not in as_coach.get(HOME, {"coach": theirs.pk}).content.decode()


def test_a_stranger_sees_nothing_of_it(desk, as_stranger, as_assistant, anonymous):
    ClientFactory(coach=desk, name="Amara Tolledo")
    assert "Amara" not in as_stranger.get(HOME).content.decode()
    assert "Amara" in as_assistant.get(HOME).content.decode()
    assert anonymous.get(HOME).status_code == 302


def test_what_each_reason_adds_stands_before_it_and_those_folded_are_printed(desk, as_coach):
    client = ClientFactory(coach=desk)
    as_coach.get(HOME)
    told = [[40, "Strength falling: Row", "need_falling"], [25, "One", "a"], [12.5, "Two", "b"], [2, "Three", "c"]]
    kept = ClientNeed.objects.get(client=client)
    kept.score, kept.value = 79500, {**kept.value, "reasons": told}
    kept.save()
    page = as_coach.get(HOME).content.decode()
    assert [page.count(words) for _, words, _ in told] == [1, 1, 1, 2]
    printed = page[page.index('<ul class="reasons print-only">') :]
    assert "Three" in printed[: printed.index("</ul>")]
    assert re.search(r'class="adds"[^>]*>40</span> <span>Strength falling: Row<', page)


def test_a_coach_is_named_beside_clients_of_others_alone(desk, owner, as_owner, as_coach):
    ClientFactory(coach=desk, name="Amara Tolledo")
    ClientFactory(coach=owner, name="Bo Ferrand")
    assert re.findall(r'<span class="coach">([^<]+)<', as_owner.get(HOME).content.decode()) == ["Ana Reis"]
    assert 'class="coach"' not in as_coach.get(HOME).content.decode()


def count_queries(browser, **asked):
    with CaptureQueriesContext(connection) as queries:
        assert browser.get(HOME, asked).status_code == 200
    return len(queries)


def test_the_number_of_queries_does_not_grow_with_clients(desk, as_coach):
    """1, 25 and 250 clients: the same queries, and as many again for the second page as for the first, plus one."""
    counts = {}
    for many in (1, 25, 250):
        for n in range(Client.objects.count(), many):
            ClientFactory(coach=desk, name=f"Client {n}")
        as_coach.get(HOME)
        counts[many] = count_queries(as_coach)
    # Who is signed in 2, who is behind 2, what may be filtered by 1, kept views 1, the rows 1.
    assert set(counts.values()) == {7}
    assert count_queries(as_coach, after="60000-1") == 8


def test_working_rows_out_takes_as_many_queries_for_many_as_for_one(desk):
    def count():
        with CaptureQueriesContext(connection) as queries:
            rows_of(desk)
        return len(queries)

    def add(n):
        client = ClientFactory(coach=desk, name=f"Client {n}", place=PlaceFactory(practice=desk.practice))
        ScreeningFactory(client=client)
        program_for(client, weeks=4)
        logged(IssuedSheetFactory(client=client))

    add(0)
    count()
    at_1 = count()
    for n in range(1, 12):
        add(n)
    count()
    assert count() == at_1
