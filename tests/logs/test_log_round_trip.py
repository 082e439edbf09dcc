"""The table of sets of an export reads in again: on the desk it says nothing new, on an empty one it says it all."""

import csv as csv_file
import io
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from clients.models import Equipment
from clients.records.cells import RISKY, guarded, unguarded
from clients.records.export import csv_text
from programs.intake.reading import heading_of, read_table
from programs.logs.export import set_log_lines
from programs.logs.intake.columns import check, guess
from programs.logs.intake.order import Order
from programs.logs.intake.plan import Answers, make_plan
from programs.logs.intake.services import import_logs
from programs.logs.intake.sessions import settle
from programs.logs.mapping import DoneStep
from programs.logs.models import SessionLog, SetLog
from programs.logs.names import day_names
from tests.factories.clients import ClientFactory
from tests.factories.logs import IssuedSheetFactory, drop_set, exercise_body, logged
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db
SETS = (
    "client__name", "done_on", "exercise__name", "position", "set_no", "step_no", "side", "rep_kind", "load", "unit",
    "setting", "reps", "rir", "failed",
)  # fmt: skip
SESSIONS = ("client__name", "done_on", "minutes", "rating", "note")


@pytest.fixture(autouse=True)
def _at_once(monkeypatch):
    monkeypatch.setattr("programs.logs.intake.work.transaction.on_commit", lambda work: work())


def step(exercise, position, set_no=1, step_no=1, side="b", load=None, reps=8, **more):
    return DoneStep(
        exercise=exercise.pk, position=position, set_no=set_no, step_no=step_no, side=side,
        rep_kind=exercise.rep_kind, load=load, reps=reps, **{"unit": "kg", "rir": None, **more},
    )  # fmt: skip


@pytest.fixture
def full(desk):
    """A client with sets of every sort: drops, sides, bands, assistance, an exercise twice, two sessions a day."""
    kinds = {
        "Bench press": Equipment.Kind.BARBELL, "=Row": Equipment.Kind.DUMBBELL, "Pull-up": Equipment.Kind.BODYWEIGHT,
        "Pull-apart": Equipment.Kind.BAND, "Leg press": Equipment.Kind.STACK,
    }  # fmt: skip
    made = {name: ExerciseFactory(practice=desk.practice, name=name, equipment_kind=k) for name, k in kinds.items()}
    bench, row, pull, band, press = made.values()
    plank = ExerciseFactory(practice=desk.practice, name="Plank", rep_kind="seconds", equipment_kind="bodyweight")
    client = ClientFactory(coach=desk, name="-Rosa 'R' Lind", body_mass=70_000)
    sheet = IssuedSheetFactory(client=client, exercises=[exercise_body(bench, steps=drop_set())])
    logged(sheet, minutes=58, rating=7, note="@home, 'late'\nand \"tired\"")
    second = [
        step(bench, 2, load=60_000, rir=1.5), step(bench, 5, load=55_000, rir=0.0, failed=True),
        step(row, 3, side="l", load=24_500), step(row, 3, side="r", load=22_125, reps=7, failed=True),
        step(pull, 4, load=-20_000), step(pull, 4, 2, load=0), step(pull, 4, 3, load=None),
        step(pull, 4, 4, load=0, reps=0, rir=0.0, failed=True),
        step(band, 6, setting="+ strong"), step(band, 6, 2, setting=""),
        step(press, 7, setting="place 7"), step(press, 7, 2, load=135_000, unit="lb"),
        step(press, 7, 2, 2, load=90_000, unit="lb", reps=11), step(plank, 9, reps=75, load=0),
    ]  # fmt: skip
    logged(sheet, steps=second)
    logged(sheet, steps=[step(bench, 1, load=40_000)], done_on=date(2026, 11, 20), note="'Twas late")
    return client


def exported(client):
    return "".join(csv_text(set_log_lines([client.pk])))


def planned(text, desk):
    chosen = check(guess(heading_of(text), {}))
    table = read_table(text, header=lambda _: chosen, holds="set")
    plan = make_plan(table, by=desk, now=timezone.now(), answers=Answers())
    settle(plan)
    return plan


def kept(fields, rows):
    return sorted(rows.values_list(*fields), key=repr)


def test_an_export_says_nothing_new_to_the_desk_it_came_from(desk, full):
    plan = planned(exported(full), desk)
    assert plan.errors == []
    assert plan.counts == {"new": 0, "changed": 0, "same": 18, "bad": 0}


def test_an_export_into_an_empty_client_gives_the_same_rows_and_the_same_export(desk, full):
    text, sets, sessions = exported(full), kept(SETS, SetLog.objects), kept(SESSIONS, SessionLog.objects)
    SessionLog.objects.all().delete()
    plan = planned(text, desk)
    assert plan.counts == {"new": 18, "changed": 0, "same": 0, "bad": 0}
    import_logs(by=desk, plan=plan, digest=plan.digest, now=timezone.now())
    assert kept(SETS, SetLog.objects) == sets
    assert kept(SESSIONS, SessionLog.objects) == sessions
    assert planned(text, desk).counts["same"] == 18


def test_the_page_takes_the_headings_of_an_export_without_a_question(as_coach, full):
    seen = as_coach.post("/sets/import/", {"file": SimpleUploadedFile("set-logs.csv", exported(full).encode())})
    assert seen.status_code == 200
    assert all(one["name"] for one in seen.context["matching"])
    assert "there is nothing to import" in seen.content.decode()


def test_a_changed_drop_changes_that_step_alone(desk, full):
    lines = list(csv_file.reader(io.StringIO(exported(full))))
    at = next(n for n, line in enumerate(lines) if line[6] == "2" and line[3] == "Bench press")
    lines[at][11] = "9"
    plan = planned("".join(csv_text(lines)), desk)
    (line,) = [one for one in plan.lines if one.state != "same"]
    assert (line.state, line.numbers.step_no, line.numbers.reps) == ("changed", 2, 9)
    import_logs(by=desk, plan=plan, digest=plan.digest, now=timezone.now())
    assert SetLog.objects.get(pk=line.row).reps == 9
    assert SetLog.objects.filter(version__gt=1).count() == 1


def test_a_drop_that_was_forgotten_joins_its_set(desk, full):
    text = exported(full)
    lost = SetLog.objects.get(exercise__name="Leg press", step_no=2)
    lost.delete()
    plan = planned(text, desk)
    assert plan.counts == {"new": 1, "changed": 0, "same": 17, "bad": 0}
    import_logs(by=desk, plan=plan, digest=plan.digest, now=timezone.now())
    back = SetLog.objects.get(exercise__name="Leg press", step_no=2)
    assert (back.session_log_id, back.position, back.load) == (lost.session_log_id, lost.position, lost.load)


def test_drops_typed_by_hand_follow_their_set_without_numbers(desk):
    client = ClientFactory(coach=desk, name="Rosa Lind")
    ExerciseFactory(practice=desk.practice, name="Bench press")
    rows = ("80,8,", "60,6,2", "45,7,3", "80,7,", "60,5,2")
    plan = planned(
        "client,date,exercise,load,reps,step\n" + "".join(f"Rosa Lind,2026-11-20,Bench press,{row}\n" for row in rows),
        desk,
    )
    assert [(one.set_no, one.numbers.step_no) for one in plan.lines] == [(1, 1), (1, 2), (1, 3), (2, 1), (2, 2)]
    import_logs(by=desk, plan=plan, digest=plan.digest, now=timezone.now())
    found = SetLog.objects.filter(client=client).order_by("set_no", "step_no")
    assert list(found.values_list("load", flat=True)) == [80_000, 60_000, 45_000, 80_000, 60_000]


@pytest.mark.parametrize(
    ("row", "column", "reason"),
    [
        ("60,red,8,2,,", "load", "keep one of the two"),
        (",x" + "x" * 60 + ",8,2,,", "setting", "at most 60"),
        ("60,,8,2,0,", "step", "from 1 to 99"),
        ("60,,8,2,,maybe", "failed", "is not one of"),
        ("60,,0,2,,no", "reps", "from 1 to 100"),
    ],
)
def test_what_cannot_be_is_said_by_column(desk, row, column, reason):
    ClientFactory(coach=desk, name="Rosa Lind")
    ExerciseFactory(practice=desk.practice, name="Bench press")
    text = f"client,date,exercise,load,setting,reps,rir,step,failed\nRosa Lind,2026-11-20,Bench press,{row}\n"
    (error, *_more) = planned(text, desk).errors
    assert error.column == column
    assert reason in error.reason


def test_an_exercise_twice_in_a_session_is_told_apart_by_its_place(desk):
    ClientFactory(coach=desk, name="Rosa Lind")
    ExerciseFactory(practice=desk.practice, name="Bench press")
    head = "client,date,exercise,exercise no,set,load,reps\n"
    told = "".join(f"Rosa Lind,2026-11-20,Bench press,{n},1,{60 + n},8\n" for n in (1, 4))
    plan = planned(head + told, desk)
    import_logs(by=desk, plan=plan, digest=plan.digest, now=timezone.now())
    assert kept(("position", "load"), SetLog.objects) == [(1, 61_000), (4, 64_000)]
    # Without a place it could be either.
    plan = planned(head + told + "Rosa Lind,2026-11-20,Bench press,,1,70,8\n", desk)
    assert [(error.line, error.column) for error in plan.errors] == [(4, "set")]


@pytest.mark.parametrize(
    "text", ["=1", "'=1", "''", "'", "'Twas late", "plain", "", "-3", *(f"{sign}x" for sign in RISKY)]
)
def test_a_guard_is_taken_off_where_the_export_put_one_and_nowhere_else(text):
    assert unguarded(guarded(text)) == text
    if not guarded(text).startswith("'"):
        assert unguarded(text) == text


def test_a_text_typed_by_hand_keeps_its_apostrophe():
    assert unguarded("'Twas late") == "'Twas late"
    assert unguarded("'=1") == "=1"


def test_sessions_of_one_day_have_names_of_their_own():
    assert day_names([""]) == [""]
    assert day_names(["Push", "", "Push"]) == ["Push", "session 2", "Push (2)"]
    long = ["x" * 80] * 3
    assert len(set(day_names(long))) == 3
    assert max(map(len, day_names(long))) <= 80


def test_the_place_of_an_exercise_is_what_the_file_says_where_it_is_free():
    order = Order([(7, 1), (8, 2)])
    assert order.place(7, 1) == 1
    assert order.place(7) == 1
    assert order.place(9, 2) == 3
    assert order.place(9, 5) == 5
    assert order.place(10) == 6
    assert order.place(10) == 6


def test_two_sessions_on_one_day_are_told_apart(desk, full):
    names = {line[2] for line in list(csv_file.reader(io.StringIO(exported(full))))[1:] if line[1] == "2026-11-24"}
    assert names == {"Upper A", "Upper A (2)"}


def test_drops_of_a_sheet_stay_steps_of_one_set(desk, full):
    lines = [line for line in csv_file.reader(io.StringIO(exported(full))) if line[1:3] == ["2026-11-24", "Upper A"]]
    assert [(line[5], line[6]) for line in lines] == [("1", "1"), ("1", "2"), ("1", "3")]
