"""Moving sessions, days away and missed sessions: what the preview says is what is written, and undo is exact."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError

from coachdesk import engine
from coachdesk.practice.merge import StaleEdit
from coachdesk.practice.models import Act
from coachdesk.practice.tape import fields_of, undo
from programs.calendar.changes import absence_preview, missed_preview
from programs.calendar.days import plan_of, plans_of, range_words
from programs.calendar.services import (
    MovedOn,
    answer_missed,
    edit_absence,
    enter_absence,
    enter_date,
    move_session,
    remove_absence,
    remove_date,
)
from programs.models import Absence, PlannedExercise, PlannedSession
from tests.factories.calendar import SessionLogFactory
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)

pytestmark = pytest.mark.django_db
# Monday of week 3 of the programme below is Mon 7 Dec 2026.
AWAY = {"first": date(2026, 12, 5), "last": date(2026, 12, 13)}
DAYS = {"first_on": AWAY["first"], "last_on": AWAY["last"], "kind": "holiday"}


def all_rows() -> dict[str, list[dict[str, Any]]]:
    """Every row of the tables that a calendar can write to, without versions, which only ever go up."""
    found = {}
    for name in ("client", "place"):
        found[name] = list(apps.get_model("clients", name).objects.order_by("pk"))
    for name in ("program", "block", "plannedsession", "plannedexercise", "absence", "clientdate"):
        found[name] = list(apps.get_model("programs", name).objects.order_by("pk"))
    plain = {name: [fields_of(row) for row in rows] for name, rows in found.items()}
    return {name: [{k: v for k, v in row.items() if k != "version"} for row in rows] for name, rows in plain.items()}


def take_back(by: Any) -> None:
    undo(Act.objects.filter(kind="edit").latest("id"), by=by)


@pytest.fixture
def client(desk, gym):
    return ClientFactory(coach=desk, place=gym, name="Vera Lindholm")


@pytest.fixture
def program(desk, client):
    """Six weeks from Mon 23 Nov 2026, Lower A on Mondays and Upper A on Thursdays, four and three sets."""
    made = ProgramFactory(coach=desk, client=client, name="Autumn block", weeks=6)
    squat = ExerciseFactory(practice=desk.practice, name="Back squat", muscles={"quads": 1000}, pattern="squat")
    bench = ExerciseFactory(practice=desk.practice, name="Bench press")
    for week in range(1, 7):
        lower = PlannedSessionFactory(program=made, week_no=week, day=0, name="Lower A")
        PlannedExerciseFactory(session=lower, exercise=squat, position=1, scheme=scheme_json(sets="4"))
        upper = PlannedSessionFactory(program=made, week_no=week, day=3, name="Upper A")
        PlannedExerciseFactory(session=upper, exercise=bench, position=1)
    return made


def days_of(client) -> list[tuple[str, str]]:
    return [(f"{plan.on(row):%a %d %b}", row.name) for plan in plans_of(client) for row in plan.sessions]


def session_at(program, week, day) -> PlannedSession:
    return PlannedSession.objects.select_related("block__program__client").get(
        block__program=program, week_no=week, day=day
    )


def test_moving_a_session_is_one_act_and_undo_is_exact(desk, program, client):
    before = all_rows()
    row = session_at(program, 2, 0)
    move_session(by=desk, session=row, on=date(2026, 12, 2), version=row.version)
    assert ("Wed 02 Dec", "Lower A") in days_of(client)
    act = Act.objects.latest("id")
    assert act.label == "Move Lower A from Mon 30 Nov to Wed 2 Dec"
    assert act.changes.count() == 1
    take_back(desk)
    assert all_rows() == before


def test_a_session_moves_into_another_block(desk, client):
    made = ProgramFactory(coach=desk, client=client, weeks=1)
    second = made.blocks.create(name="Block 2", first_week=2, weeks=2)
    row = PlannedSession.objects.create(block=made.blocks.get(first_week=1), week_no=1, day=0, name="A")
    move_session(by=desk, session=row, on=MONDAY + timedelta(days=15), version=1)
    row.refresh_from_db()
    assert (row.block_id, row.week_no, row.day) == (second.pk, 3, 1)


def test_a_session_moved_onto_itself_writes_nothing(desk, program):
    row = session_at(program, 2, 0)
    acts = Act.objects.count()
    move_session(by=desk, session=row, on=date(2026, 11, 30), version=row.version)
    assert Act.objects.count() == acts


def test_moving_outside_the_programme_says_its_days(desk, program):
    row = session_at(program, 2, 0)
    with pytest.raises(
        ValidationError, match="Mon 4 Jan 2027 is outside Autumn block, Mon 23 Nov 2026 to Sun 3 Jan 2027"
    ):
        move_session(by=desk, session=row, on=date(2027, 1, 4), version=row.version)


def test_moving_with_an_old_version_where_the_day_was_changed_is_a_conflict(desk, program):
    row = session_at(program, 2, 0)
    move_session(by=desk, session=row, on=date(2026, 12, 2), version=row.version)
    with pytest.raises(StaleEdit):
        move_session(by=desk, session=session_at(program, 2, 2), on=date(2026, 12, 4), version=1)


def test_a_logged_session_keeps_its_day(desk, program, client):
    row = session_at(program, 1, 0)
    SessionLogFactory(client=client, planned_session=row)
    with pytest.raises(ValidationError, match="Lower A is logged already"):
        move_session(by=desk, session=row, on=date(2026, 11, 25), version=row.version)


@pytest.mark.parametrize("how", ["keep", "shift", "drop", "lighten", "elsewhere"])
def test_an_absence_writes_what_its_preview_shows_in_one_act_and_undo_is_exact(desk, program, client, how):
    hotel = PlaceFactory(practice=desk.practice, name="Hotel")
    EquipmentFactory(place=hotel, dumbbells=True)
    before = all_rows()
    preview = absence_preview(client, **AWAY, how=how, place=hotel)
    acts = Act.objects.count()
    enter_absence(by=desk, client=client, **DAYS, how=how, place=hotel, digest=preview.digest)
    assert Act.objects.count() == acts + 1
    for change in preview.changes:
        row = PlannedSession.objects.filter(pk=change.session.pk).select_related("block__program__client").first()
        assert (row is None) == change.removed
        if row is None:
            continue
        plan = plan_of(row)
        now = next(s for s in plan.sessions if s.pk == row.pk)
        assert plan.on(now) == (change.to or change.on)
        assert row.place_id == (change.place.pk if change.place else None)
        for planned, scheme in change.schemes:
            assert PlannedExercise.objects.get(pk=planned.pk).scheme == scheme
    changed = {change.session.pk for change in preview.changes}
    untouched = [row for row in before["plannedsession"] if row["id"] not in changed]
    after = all_rows()
    assert [row for row in after["plannedsession"] if row["id"] not in changed] == untouched
    take_back(desk)
    assert all_rows() == before


def test_shifting_moves_everything_after_by_whole_weeks_and_lengthens_the_programme(desk, program, client):
    was = days_of(client)
    preview = absence_preview(client, **AWAY, how="shift")
    assert len(preview.changes) == 8
    assert preview.changes[0].words == "moves to Mon 14 Dec"
    enter_absence(by=desk, client=client, **DAYS, how="shift")
    now = days_of(client)
    assert now[:4] == was[:4]
    assert [name for _, name in now] == [name for _, name in was]
    assert [day[:3] for day, _ in now] == [day[:3] for day, _ in was]
    assert now[-1] == ("Thu 07 Jan", "Upper A")
    assert program.blocks.get().weeks == 7


def test_an_absence_that_begins_midweek_leaves_what_came_before_it(desk, program, client):
    enter_absence(
        by=desk, client=client, first_on=date(2026, 12, 8), last_on=date(2026, 12, 22), kind="illness", how="shift"
    )
    now = days_of(client)
    assert now[4] == ("Mon 07 Dec", "Lower A")
    # Thu 10 Dec is the first inside; two weeks clear Tue 22 Dec.
    assert now[5:7] == [("Thu 24 Dec", "Upper A"), ("Mon 28 Dec", "Lower A")]


def test_a_later_programme_starts_later_and_keeps_its_weeks(desk, program, client):
    following = ProgramFactory(coach=desk, client=client, start_on=date(2027, 1, 4), name="Winter block")
    PlannedSessionFactory(program=following, week_no=1, day=1, name="Winter A")
    before = all_rows()
    enter_absence(by=desk, client=client, **DAYS, how="shift")
    following.refresh_from_db()
    assert following.start_on == date(2027, 1, 11)
    assert session_at(following, 1, 1).name == "Winter A"
    assert Act.objects.latest("id").subject == f"calendar:{client.pk}"
    take_back(desk)
    assert all_rows() == before


def test_blocks_move_along_when_a_block_grows(desk, client):
    made = ProgramFactory(coach=desk, client=client, weeks=3)
    second = made.blocks.create(name="Block 2", first_week=4, weeks=2)
    first = made.blocks.get(first_week=1)
    PlannedSession.objects.create(block=first, week_no=3, day=0, name="A")
    late = PlannedSession.objects.create(block=second, week_no=4, day=0, name="B")
    enter_absence(by=desk, client=client, **DAYS, how="shift")
    for row in (first, second, late):
        row.refresh_from_db()
    assert (first.first_week, first.weeks, second.first_week, second.weeks) == (1, 4, 5, 2)
    assert (late.week_no, late.block_id) == (5, second.pk)


def test_a_programme_of_52_weeks_cannot_be_shifted(desk, client):
    made = ProgramFactory(coach=desk, client=client, weeks=52)
    PlannedSessionFactory(program=made, week_no=3)
    with pytest.raises(ValidationError, match="would have 53 weeks; 52 is the most"):
        enter_absence(by=desk, client=client, **DAYS, how="shift")
    assert not Absence.objects.exists()


def test_lightening_takes_the_sets_of_the_engines_lighter_week(desk, program, client):
    preview = absence_preview(client, **AWAY, how="lighten")
    assert [change.words for change in preview.changes] == [
        "4 sets become 2: Back squat 4 to 2", "3 sets become 2: Bench press 3 to 2",
    ]  # fmt: skip
    assert engine.lighter_week(4) == 2
    assert engine.lighter_week(3) == 2


def test_elsewhere_names_what_cannot_be_loaded_there(desk, program, client):
    hotel = PlaceFactory(practice=desk.practice, name="Hotel")
    preview = absence_preview(client, **AWAY, how="elsewhere", place=hotel)
    assert preview.changes[0].words == "Full gym to Hotel, loads made there; nothing to load there: Back squat"


def test_a_preview_that_no_longer_holds_is_refused_and_writes_nothing(desk, program, client):
    preview = absence_preview(client, **AWAY, how="drop")
    row = session_at(program, 3, 0)
    move_session(by=desk, session=row, on=date(2026, 12, 9), version=row.version)
    before = all_rows()
    with pytest.raises(MovedOn) as moved:
        enter_absence(by=desk, client=client, **DAYS, how="drop", digest=preview.digest)
    assert moved.value.preview.changes[0].on == date(2026, 12, 9)
    assert all_rows() == before


def test_logged_sessions_inside_an_absence_stay(desk, program, client):
    SessionLogFactory(client=client, planned_session=session_at(program, 3, 0))
    preview = absence_preview(client, **AWAY, how="drop")
    assert [change.session.name for change in preview.changes] == ["Upper A"]


@pytest.mark.parametrize("how", ["move", "drop", "fold"])
def test_a_missed_session_is_answered_as_previewed_and_undo_is_exact(desk, program, client, how):
    row, before, today = session_at(program, 1, 0), all_rows(), date(2026, 11, 26)
    chosen = {"how": how, "today": today, "to": date(2026, 11, 27) if how == "move" else None}
    preview = missed_preview(plan_of(row), row, **chosen)
    acts = Act.objects.count()
    answer_missed(by=desk, session=row, digest=preview.digest, **chosen)
    assert Act.objects.count() == acts + 1
    if how == "move":
        assert ("Fri 27 Nov", "Lower A") in days_of(client)
    else:
        assert not PlannedSession.objects.filter(pk=row.pk).exists()
    if how == "fold":
        (change,) = [one for one in preview.changes if not one.removed]
        assert change.on == date(2026, 11, 30)
        assert change.words == "Back squat 4 to 6 sets"
        (squat,) = change.session.exercises.all()
        assert engine.set_count(engine.scheme_from_json(PlannedExercise.objects.get(pk=squat.pk).scheme)) == 6
    take_back(desk)
    assert all_rows() == before


def test_folding_adds_at_the_end_what_the_coming_session_lacks(desk, program, client):
    row = session_at(program, 1, 0)
    curl = ExerciseFactory(practice=desk.practice, name="Leg curl", muscles={"hamstrings": 1000})
    PlannedExerciseFactory(session=row, exercise=curl, position=2, group="A")
    answer_missed(by=desk, session=row, how="fold", today=date(2026, 11, 26))
    target = session_at(program, 2, 0)
    rows = list(target.exercises.order_by("position"))
    assert [one.exercise.name for one in rows] == ["Back squat", "Leg curl"]
    assert rows[1].group == ""


def test_a_day_with_four_sessions_takes_no_fifth(desk, program):
    for n in range(4):
        PlannedSessionFactory(program=program, week_no=1, day=4, position=n + 1)
    row = session_at(program, 1, 0)
    preview = missed_preview(plan_of(row), row, how="move", today=MONDAY, to=date(2026, 11, 27))
    assert preview.problem == "Fri 27 Nov has 4 sessions already; choose another day."


def test_days_in_the_wrong_order_are_refused(desk, client):
    with pytest.raises(ValidationError, match="Mon 4 Jan 2027 is before Tue 5 Jan 2027"):
        enter_absence(by=desk, client=client, first_on=date(2027, 1, 5), last_on=date(2027, 1, 4), kind="travel")


def test_absences_and_dates_are_changed_and_removed_with_undo(desk, client):
    made = enter_absence(by=desk, client=client, **DAYS)
    edit_absence(by=desk, absence=made, version=1, fields={"last_on": date(2026, 12, 20), "note": "Crete"})
    with pytest.raises(StaleEdit):
        edit_absence(by=desk, absence=made, version=1, fields={"note": "Malta"})
    entry = enter_date(by=desk, client=client, on=date(2026, 12, 18), kind="peak", exercise=None, note="county meet")
    assert entry.words == "Peak: county meet"
    before = all_rows()
    remove_absence(by=desk, absence=Absence.objects.get())
    take_back(desk)
    remove_date(by=desk, entry=entry)
    take_back(desk)
    assert all_rows() == before


def test_ranges_in_words_over_a_turn_of_the_year():
    assert range_words(date(2026, 12, 5), date(2026, 12, 13)) == "Sat 5 to Sun 13 Dec"
    assert range_words(date(2026, 12, 29), date(2027, 1, 2)) == "Tue 29 Dec to Sat 2 Jan"
    assert range_words(date(2026, 12, 5), date(2026, 12, 5)) == "Sat 5 Dec"
