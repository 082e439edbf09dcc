"""What stands in the calendar reaches the engine: days away leave the habit, tests and peaks raise their flags."""

import re
from datetime import date, timedelta

import pytest

from programs.models import ClientDate, TrainingFacts
from programs.selectors import program_view, week_flags_for
from programs.selectors.context import facts_of
from programs.services import apply_remedy
from programs.services.sheets import stops_for
from tests.factories.calendar import AbsenceFactory, ClientDateFactory
from tests.factories.clients import ClientFactory, ScreeningFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db
EFFORT = {"load_kind": "effort", "load_value": "", "reps": "8"}


@pytest.fixture
def client(desk, gym):
    made = ClientFactory(coach=desk, place=gym, name="Vera Lindholm", training_since_on=date(2020, 1, 1))
    ScreeningFactory(client=made)
    return made


@pytest.fixture
def bench(desk):
    return ExerciseFactory(practice=desk.practice, name="Bench press", muscles={"chest": 1000})


@pytest.fixture
def program(desk, client, bench):
    """Four weeks of bench press on Mondays and Thursdays."""
    made = ProgramFactory(coach=desk, client=client, name="Autumn block")
    for week in range(1, 5):
        for day in (0, 3):
            row = PlannedSessionFactory(program=made, week_no=week, day=day, name="Push")
            PlannedExerciseFactory(session=row, exercise=bench, scheme=scheme_json(sets="8", rir="3", **EFFORT))
    return made


def flags(program, code):
    return [f for f in program_view(program, client=program.client, on=MONDAY).flags if f.code == code]


def facts(client, sets):
    """Weekly chest sets of the four weeks before the programme, oldest first."""
    mondays = [MONDAY - timedelta(weeks=n) for n in (4, 3, 2, 1)]
    weeks = {monday.isoformat(): {"chest": count} for monday, count in zip(mondays, sets, strict=True)}
    value = {"v": 1, "weeks": weeks, "days": {}, "last_on": (MONDAY - timedelta(days=3)).isoformat(), "sets": 8}
    TrainingFacts.objects.create(client=client, value=value)


def chest(found):
    return [f for f in found if f.where.muscle == "chest"]


@pytest.mark.parametrize("kind", ["holiday", "illness"])
def test_weeks_with_a_holiday_or_an_illness_are_left_out_of_the_habit(client, program, kind):
    facts(client, [9.0, 9.0, 15.0, 15.0])
    (jump,) = chest(flags(program, "volume_jump"))
    assert "against a habit of 12 (" in jump.sentence
    AbsenceFactory(client=client, kind=kind, first_on=date(2026, 10, 26), last_on=date(2026, 11, 8))
    assert chest(flags(program, "volume_jump")) == []


def test_travel_is_no_reason_to_leave_a_week_out(client, program):
    facts(client, [9.0, 9.0, 15.0, 15.0])
    AbsenceFactory(client=client, kind="travel", first_on=date(2026, 10, 26), last_on=date(2026, 11, 8))
    assert len(chest(flags(program, "volume_jump"))) == 1


def test_days_away_entered_ahead_ask_for_a_lighter_way_back(client, program):
    facts(client, [16.0] * 4)
    for row in program.blocks.get().sessions.filter(week_no__in=(2, 3)):
        row.delete()
    assert flags(program, "layoff") == []
    AbsenceFactory(client=client, first_on=date(2026, 11, 28), last_on=date(2026, 12, 12))
    (found,) = flags(program, "layoff")
    assert found.sentence.startswith("18 days without a session before Push, Monday: take 30 % off")


def test_a_test_the_day_after_hard_work_is_flagged_here_and_on_the_roster(client, program, bench):
    planned = program.blocks.get().sessions.get(week_no=1, day=3).exercises.get()
    planned.scheme = scheme_json(sets="10", rir="0", **EFFORT)
    planned.save()
    assert flags(program, "test_after_hard") == []
    ClientDateFactory(client=client, exercise=bench, on=date(2026, 11, 27))
    (found,) = flags(program, "test_after_hard")
    assert found.sentence.startswith("Test: Bench press, Friday of week 1, comes 1 day after Push")
    roster = week_flags_for([client], MONDAY)[client.pk]
    assert [f.id for f in roster if f.code == "test_after_hard"] == [found.id]


def test_a_test_without_screening_holds_back_the_sheet_of_its_day_only(desk, client, program, bench):
    client.screenings.all().delete()
    entry = ClientDateFactory(client=client, exercise=bench, on=date(2026, 12, 3))
    view = program_view(program, client=client, on=MONDAY)
    (found,) = [f for f in view.flags if f.code == "screening_missing"]
    held = [s.row for w in view.weeks for d in w.days for s in d if stops_for(view, s.row.pk)]
    assert [(row.week_no, row.day) for row in held] == [(2, 3)]
    apply_remedy(by=desk, program=program, flag=found, index=0)
    assert not ClientDate.objects.filter(pk=entry.pk).exists()


def test_a_peak_without_lighter_days_is_noted_and_the_remedy_makes_it_lighter(desk, client, program):
    ClientDateFactory(client=client, kind="peak", note="County meet", on=date(2026, 12, 19))
    (found,) = flags(program, "peak_not_lighter")
    assert found.severity == "note"
    apply_remedy(by=desk, program=program, flag=found, index=0)
    assert flags(program, "peak_not_lighter") == []


def test_facts_of_many_clients_take_one_query(desk, bench, django_assert_num_queries):
    clients = [ClientFactory(coach=desk) for _ in range(3)]
    for one in clients:
        AbsenceFactory(client=one)
        ClientDateFactory(client=one, exercise=bench)
    with django_assert_num_queries(1):
        found = facts_of([one.pk for one in clients])
    assert [len(found[one.pk]["targets"]) for one in clients] == [1, 1, 1]
    assert found[clients[0].pk]["targets"][0][3:] == ("Test: Bench press", ("chest",))


def test_the_programmes_head_says_what_stands_in_the_calendar(as_coach, client, program, bench):
    ClientDateFactory(client=client, exercise=bench, on=date(2026, 12, 18))
    AbsenceFactory(client=client)
    ClientDateFactory(client=client, kind="peak", on=date(2027, 5, 1))
    text = as_coach.get(f"/programs/{program.pk}/").content.decode()
    assert "Away from Sat 5 Dec. Test: Bench press, Fri 18 Dec." in text
    assert "Date to peak for" not in text
    heads = re.findall(r'id="week-(\d)".*?</th>', text, re.S)
    assert heads == ["1", "2", "3", "4"]
    marks = re.findall(r'<span class="week-date">([^<]*)</span><span class="week-mark">([^<]*)</span>', text)
    assert marks == [("Mon 30 Nov", "away"), ("Mon 7 Dec", "away"), ("Mon 14 Dec", "Test: Bench press")]
