"""Sets from a CSV file: matching, questions, preview, one act, one undo, and nothing new the second time."""

from datetime import date

import pytest
from django.urls import reverse

from coachdesk.practice.models import Act
from coachdesk.practice.tape import undo
from programs.logs.models import ExerciseWeek, LogImport, MuscleWeek, PlanGap, SessionLog, SetLog
from programs.logs.services import edit_session_log, edit_set, refresh_client
from programs.models import StrengthEstimate, StrengthObservation, TrainingFacts
from programs.services import record_test
from programs.services.library import load_library
from tests.factories.clients import ClientFactory
from tests.factories.files import csv, press, upload
from tests.factories.logs import NOON, IssuedSheetFactory, exercise_body, logged, written_steps
from tests.factories.practice import MembershipFactory
from tests.factories.programs import ExerciseFactory

pytestmark = pytest.mark.django_db
URL = "/sets/import/"


@pytest.fixture(autouse=True)
def _at_once(monkeypatch):
    """The work behind a commit is done at once: nothing commits in these tests."""
    monkeypatch.setattr("programs.logs.intake.work.transaction.on_commit", lambda work: work())


@pytest.fixture
def rosa(desk):
    return ClientFactory(coach=desk, name="Rosa Lind")


@pytest.fixture
def tom(desk):
    return ClientFactory(coach=desk, name="Tom Berg")


@pytest.fixture
def bench(desk):
    return ExerciseFactory(practice=desk.practice, name="Bench press")


@pytest.fixture
def row_(desk):
    return ExerciseFactory(practice=desk.practice, name="Barbell row")


TWO = (
    "Rosa Lind,2026-11-20,Bench press,60,8,2",
    "Rosa Lind,2026-11-20,Bench press,60,8,1",
    "Rosa Lind,2026-11-20,Barbell row,50,10,2",
    'Tom Berg,20.11.2026,Bench press,"82,5",5,',
)


def read_in(browser, text, **more):
    seen = upload(browser, text)
    assert seen.status_code == 200, seen.content.decode()
    done = press(browser, seen, **more)
    assert done.status_code == 302, done.content.decode()
    return LogImport.objects.order_by("-id")[0]


def rows():
    return list(
        SetLog.objects.order_by("client__name", "exercise__name", "set_no").values_list(
            "client__name", "exercise__name", "set_no", "load", "unit", "reps", "rir"
        )
    )


def test_a_file_is_shown_then_written_and_everything_follows(as_coach, rosa, tom, bench, row_):
    seen = upload(as_coach, csv(*TWO))
    assert seen.context["counts"] == {"new": 4, "changed": 0, "same": 0, "bad": 0}
    assert not SetLog.objects.exists()
    done = press(as_coach, seen)
    made = LogImport.objects.get()
    assert done.url == reverse("logs:log_import_detail", args=[made.pk])
    assert rows() == [
        ("Rosa Lind", "Barbell row", 1, 50_000, "kg", 10, 2.0),
        ("Rosa Lind", "Bench press", 1, 60_000, "kg", 8, 2.0),
        ("Rosa Lind", "Bench press", 2, 60_000, "kg", 8, 1.0),
        ("Tom Berg", "Bench press", 1, 82_500, "kg", 5, None),
    ]
    assert SessionLog.objects.count() == 2
    assert made.waiting == []
    assert StrengthEstimate.objects.filter(client=rosa).count() == 2
    assert TrainingFacts.objects.filter(client=rosa).exists()
    page = as_coach.get(done.url).content.decode()
    assert "4 new and 0 changed sets of 2 clients" in page
    assert "Done." in page


def test_what_follows_is_what_working_everything_out_anew_gives(as_coach, rosa, tom, bench, row_):
    read_in(as_coach, csv(*TWO))
    kinds = (MuscleWeek, ExerciseWeek, StrengthObservation, StrengthEstimate, TrainingFacts)

    def stand():
        found = [[{k: v for k, v in one.items() if k != "id"} for one in kind.objects.values()] for kind in kinds]
        return [sorted(map(repr, rows)) for rows in found]

    before = stand()
    for client in (rosa, tom):
        refresh_client(client.pk)
    assert before[0]
    assert stand() == before


def test_the_same_file_again_changes_nothing(as_coach, rosa, tom, bench, row_):
    read_in(as_coach, csv(*TWO))
    before, acts = rows(), Act.objects.count()
    for text in (csv(*TWO), csv(TWO[3], TWO[2], TWO[0], TWO[1])):
        seen = upload(as_coach, text)
        assert "there is nothing to import" in seen.content.decode()
        assert seen.context["counts"] == {"new": 0, "changed": 0, "same": 4, "bad": 0}
        press(as_coach, seen)
        assert (rows(), Act.objects.count()) == (before, acts)


def test_a_set_corrected_on_the_desk_stays_corrected(as_coach, desk, rosa, tom, bench, row_):
    read_in(as_coach, csv(*TWO))
    row = SetLog.objects.get(client=tom)
    edit_set(by=desk, set_log=row, version=1, values={"reps": 4}, now=NOON)
    seen = upload(as_coach, csv(*TWO))
    assert seen.context["counts"]["same"] == 4
    seen = upload(as_coach, csv(*TWO[:3], 'Tom Berg,20.11.2026,Bench press,"82,5",6,'))
    assert seen.context["counts"] == {"new": 0, "changed": 1, "same": 3, "bad": 0}
    press(as_coach, seen)
    assert SetLog.objects.get(client=tom).reps == 6


def test_a_session_moved_on_the_desk_stays_moved(as_coach, desk, rosa, tom, bench, row_):
    read_in(as_coach, csv(*TWO))
    log = SessionLog.objects.get(client=rosa)
    edit_session_log(by=desk, session_log=log, version=1, values={"done_on": date(2026, 11, 18)}, now=NOON)
    seen = upload(as_coach, csv(*TWO))
    assert seen.context["counts"] == {"new": 0, "changed": 0, "same": 4, "bad": 0}
    later = "Rosa Lind,2026-11-18,Bench press,62.5,8,2"  # another session of the day that the first was moved to
    read_in(as_coach, csv(*TWO, later))
    assert list(SessionLog.objects.filter(client=rosa).values_list("done_on", "sets__load").order_by("id")) == [
        *[(date(2026, 11, 18), load) for load in (60_000, 60_000, 50_000)], (date(2026, 11, 18), 62_500),
    ]  # fmt: skip
    assert SessionLog.objects.filter(client=rosa).count() == 2


def test_pressing_twice_writes_once(as_coach, rosa, tom, bench, row_):
    seen = upload(as_coach, csv(*TWO))
    assert press(as_coach, seen).status_code == 302
    again = press(as_coach, seen)
    assert again.status_code in (302, 409)
    assert SetLog.objects.count() == 4
    assert Act.objects.filter(label__startswith="Import").count() == 1


def test_sets_join_the_session_that_was_logged_that_day(as_coach, desk, rosa, bench, row_):
    sheet = IssuedSheetFactory(client=rosa, exercises=[exercise_body(bench)])
    logged(sheet, steps=written_steps(sheet)[:2])
    text = csv(
        "Rosa Lind,2026-11-24,Bench press,70,8,", "Rosa Lind,2026-11-24,Bench press,72.5,7,1",
        "Rosa Lind,2026-11-24,Barbell row,50,10,2",
    )  # fmt: skip
    seen = upload(as_coach, text)
    assert seen.context["counts"] == {"new": 1, "changed": 1, "same": 1, "bad": 0}
    press(as_coach, seen)
    assert SessionLog.objects.count() == 1
    assert SetLog.objects.count() == 3
    act = LogImport.objects.get().act
    undo(act, by=desk)
    assert list(SetLog.objects.order_by("set_no").values_list("load", "reps")) == [(70_000, 8), (70_000, 8)]


def test_one_undo_takes_all_back(as_coach, desk, rosa, tom, bench, row_):
    made = read_in(as_coach, csv(*TWO))
    answer = as_coach.post(reverse("logs:log_import_undo", args=[made.pk]), follow=True)
    assert "Taken back." in answer.content.decode()
    for kind in (SetLog, SessionLog, MuscleWeek, ExerciseWeek, StrengthObservation, StrengthEstimate, TrainingFacts):
        assert not kind.objects.exists(), kind
    # And the file can be read in once more.
    read_in(as_coach, csv(*TWO))
    assert SetLog.objects.count() == 4


def test_an_import_somebody_worked_on_is_not_taken_back(as_coach, desk, rosa, tom, bench, row_):
    made = read_in(as_coach, csv(*TWO))
    edit_set(by=desk, set_log=SetLog.objects.get(client=tom), version=1, values={"reps": 4}, now=NOON)
    answer = as_coach.post(reverse("logs:log_import_undo", args=[made.pk]), follow=True)
    assert "1 session was changed since" in answer.content.decode()
    assert SetLog.objects.count() == 4


BAD = [
    ("Rosa Lind,2026-11-25,Bench press,60,8,2", "done_on", "has not come yet"),
    ("Rosa Lind,2026-02-30,Bench press,60,8,2", "done_on", "does not exist"),
    ("Rosa Lind,1999-12-31,Bench press,60,8,2", "done_on", "too long ago"),
    ("Rosa Lind,yesterday,Bench press,60,8,2", "done_on", "is no date"),
    ("Nobody,2026-11-20,Bench press,60,8,2", "client", "no client of yours"),
    (",2026-11-20,Bench press,60,8,2", "client", "is blank"),
    ("Rosa Lind,2026-11-20,Bench presss,60,8,2", "exercise", "closest are Bench press"),
    ("Rosa Lind,2026-11-20,Bench press,1e400,8,2", "load", "is no load"),
    ("Rosa Lind,2026-11-20,Bench press,NaN,8,2", "load", "is no load"),
    ("Rosa Lind,2026-11-20,Bench press,,8,2", "load", "is blank"),
    ("Rosa Lind,2026-11-20,Bench press,60,0,2", "reps", "from 1 to 100"),
    ("Rosa Lind,2026-11-20,Bench press,60,8.5,2", "reps", "from 1 to 100"),
    ("Rosa Lind,2026-11-20,Bench press,60,,2", "reps", "is blank"),
    ("Rosa Lind,2026-11-20,Bench press,60,8,11", "rir", "is no RIR"),
    ("Rosa Lind,2026-11-20,Bench press,60,8,2,9", "", "one cell too many"),
]


@pytest.mark.parametrize(("row", "column", "reason"), BAD)
def test_a_bad_row_stops_all_until_it_is_to_be_skipped(as_coach, rosa, tom, bench, row_, row, column, reason):
    seen = upload(as_coach, csv(*TWO, row))
    (error,) = seen.context["errors"]
    assert seen.status_code == 422
    assert (error.line, error.column) == (6, column)
    assert reason in error.reason
    assert press(as_coach, seen).status_code == 422
    assert not SetLog.objects.exists()
    assert press(as_coach, seen, do="skip").status_code == 302
    assert SetLog.objects.count() == 4


def test_own_headings_are_guessed_changed_and_kept(as_coach, rosa, bench):
    text = "Athlete;When;Movement;Weight (kg);Repetitions\nRosa Lind;2026-11-20;Bench press;60;8\n"
    seen = upload(as_coach, text)
    assert "No column of the file is taken for" in seen.content.decode()
    assert [one["name"] for one in seen.context["matching"]] == ["", "", "exercise", "load", "reps"]
    matched = {"column-0": "client", "column-1": "done_on"}
    seen = press(as_coach, seen, do="look", **matched)
    assert seen.context["counts"]["new"] == 1
    assert press(as_coach, seen).status_code == 302
    seen = upload(as_coach, text)
    assert [one["name"] for one in seen.context["matching"]] == ["client", "done_on", "exercise", "load", "reps"]
    assert seen.context["counts"]["same"] == 1


def test_the_order_of_day_and_month_is_asked_when_the_file_does_not_show_it(as_coach, rosa, bench):
    seen = upload(as_coach, csv("Rosa Lind,03/11/2026,Bench press,60,8,2"))
    assert 'id="ask-order"' in seen.content.decode()
    assert press(as_coach, seen).status_code == 422
    seen = press(as_coach, seen, do="look", order="dmy")
    assert press(as_coach, seen, order="dmy").status_code == 302
    assert SessionLog.objects.get().done_on == date(2026, 11, 3)
    # Another row may show it.
    seen = upload(as_coach, csv("Rosa Lind,03/11/2026,Bench press,60,8,2", "Rosa Lind,10/14/2026,Bench press,60,8,2"))
    assert 'id="ask-order"' not in seen.content.decode()
    assert [line.done_on.month for line in seen.context["lines"]] == [3, 10]


def test_an_instant_counts_on_the_clients_own_day(as_coach, desk, bench):
    ClientFactory(coach=desk, name="Kiri Moana", time_zone="Pacific/Auckland")
    read_in(as_coach, csv("Kiri Moana,2026-11-20T20:30:00Z,Bench press,60,8,2"))
    assert SessionLog.objects.get().done_on == date(2026, 11, 21)


def test_pounds_typed_for_kilograms_are_asked_about_client_by_client(as_coach, desk, rosa, tom, bench):
    for client in (rosa, tom):
        record_test(by=desk, client=client, exercise=bench, load=75_000, unit="kg", reps=1, on=date(2026, 11, 1))
    # 60 kg for 8 are 132 lb: a row of conversion, 1 lb = 0.45359237 kg exactly (NIST SP 811).
    text = csv("Rosa Lind,2026-11-20,Bench press,132,8,1", "Tom Berg,2026-11-20,Bench press,57.5,8,1")
    seen = upload(as_coach, text)
    (asked,) = seen.context["plan"].units
    assert (asked.client, asked.written, asked.other) == (rosa, "kg", "lb")
    assert press(as_coach, seen).status_code == 422
    assert not SetLog.objects.exists()
    answer = {f"unit-{rosa.pk}": "lb"}
    seen = press(as_coach, seen, do="look", **answer)
    assert press(as_coach, seen, **answer).status_code == 302
    assert [(row[0], *row[3:5]) for row in rows()] == [("Rosa Lind", 132_000, "lb"), ("Tom Berg", 57_500, "kg")]


def test_kilograms_typed_for_pounds_are_asked_about_too_and_may_be_right(as_coach, desk, bench):
    amy = ClientFactory(coach=desk, name="Amy Poole", unit="lb")
    record_test(by=desk, client=amy, exercise=bench, load=165_000, unit="lb", reps=1, on=date(2026, 11, 1))
    seen = upload(as_coach, csv("Amy Poole,2026-11-20,Bench press,60,8,1"))
    assert [(one.written, one.other) for one in seen.context["plan"].units] == [("lb", "kg")]
    answer = {f"unit-{amy.pk}": "lb"}
    seen = press(as_coach, seen, do="look", **answer)
    assert press(as_coach, seen, **answer).status_code == 302
    assert SetLog.objects.get().unit == "lb"


def test_own_words_for_exercises_are_asked_about_once(as_coach, rosa, bench):
    text = csv("Rosa Lind,2026-11-20,BP flat,60,8,2")
    seen = upload(as_coach, text)
    assert [one.word for one in seen.context["plan"].words] == ["bp flat"]
    answer = {"asked-0": "bp flat", "word-0": "Bench press"}
    seen = press(as_coach, seen, do="look", **answer)
    assert seen.context["counts"] == {"new": 1, "changed": 0, "same": 0, "bad": 0}
    assert press(as_coach, seen, **answer).status_code == 302
    seen = upload(as_coach, text)
    assert seen.context["counts"] == {"new": 0, "changed": 0, "same": 1, "bad": 0}


def test_the_example_reads_in_as_it_is(as_coach, desk):
    load_library()
    for name in ("Rosa Example", "Tom Example"):
        ClientFactory(coach=desk, name=name, body_mass=70_000)
    example = as_coach.get(reverse("logs:log_import_example")).content
    seen = upload(as_coach, example)
    assert seen.context["error_count"] == 0, [vars(e) for e in seen.context["errors"]]
    assert press(as_coach, seen).status_code == 302
    assert SetLog.objects.count() == 8
    (drop,) = SetLog.objects.filter(step_no=2)
    assert (drop.exercise.name, drop.set_no, drop.load, drop.reps) == ("Back squat", 2, 70_000, 7)
    assert SessionLog.objects.count() == 3
    assert SessionLog.objects.filter(minutes=58, rating=7).count() == 1


def test_colleagues_clients_are_nobody(as_coach, desk, bench):
    ClientFactory(coach=MembershipFactory(practice=desk.practice), name="Rosa Lind")
    seen = upload(as_coach, csv(*TWO[:1]))
    assert seen.context["errors"][0].column == "client"


def test_sets_added_to_a_session_whose_plan_is_gone_tell_the_coach(as_coach, rosa, bench):
    sheet = IssuedSheetFactory(client=rosa, exercises=[exercise_body(bench)])
    log = logged(sheet, steps=written_steps(sheet)[:2])
    PlanGap.objects.all().delete()
    read_in(as_coach, csv("Rosa Lind,2026-11-24,Bench press,70,8,,3", heading="client,date,exercise,load,reps,rir,set"))
    assert log.sets.count() == 3
    assert PlanGap.objects.get().session_log == log


def test_a_session_that_only_a_file_brings_goes_by_no_sheet(as_coach, rosa, bench):
    read_in(as_coach, csv("Rosa Lind,2026-11-24,Bench press,70,8,"))
    assert not PlanGap.objects.exists()
