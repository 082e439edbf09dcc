"""The progression page: what is shown is what is written, cell by cell and for every kind; one act, one undo."""

from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coachdesk import engine
from coachdesk.practice.models import Act, Membership
from programs import services
from programs.models import PlannedExercise, Program, StrengthObservation, TrainingFacts
from tests.factories.clients import ClientFactory
from tests.factories.programs import MONDAY, ExerciseFactory, scheme_json
from tests.programs.arrange.plan import made_plan, state, undone_and_redone

pytestmark = pytest.mark.django_db
SCHEMES = (
    {"load_kind": "effort", "load_value": "", "reps": "8-10", "rir": "2"},
    {"load_kind": "fixed", "load_value": "60"},
    {"load_value": "75"},
)
KINDS: dict[str, dict[str, Any]] = {
    "volume": {"share": 120, "raise_by": 10, "every": 1},
    "load": {"amount": "5", "unit": "kg", "every": 1},
    "load ": {"amount": "2,5", "unit": "%", "every": 2},
    "load  ": {"amount": "", "unit": "kg", "every": 1},
    "reps": {"reps": "8-10, 6-8, 5"},
    "double": {"goal": "8-10"},
    "goal": {"goal": "8"},
    "lighter": {"every": 2},
    "layoff": {"days_away": 28},
}


@pytest.fixture
def plan(desk: Membership, gym) -> Program:
    """The plan of these tests for a client whose 1RM is known; the three exercises by effort, load and percent."""
    client = ClientFactory(coach=desk, place=gym, level="novice", born_on=None)
    program = made_plan(desk, client=client)
    for n, fields in enumerate(SCHEMES, start=1):
        PlannedExercise.objects.filter(position=n).update(scheme=scheme_json(**fields))
    for row in PlannedExercise.objects.filter(session__week_no=1, session__name="Upper"):
        services.record_test(by=desk, client=client, exercise=row.exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return program


def asked(kind: str, plan: Program, **more: Any) -> dict[str, Any]:
    """What the form sends: the whole programme over its weeks unless told otherwise."""
    return {"kind": kind.strip(), "scope": "program", "from_week": 1, "to_week": 6, "show": 1, **KINDS[kind], **more}


def url(plan: Program) -> str:
    return reverse("programs:program_progression", args=[plan.pk])


def write(http, plan: Program, sent: dict[str, Any]):
    preview = http.get(url(plan), sent).context["preview"]
    return preview, http.post(url(plan), {**sent, "digest": preview.digest})


@pytest.mark.parametrize("scope", ["program", "muscle", "session", "everywhere", "exercise"])
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_shown_is_what_is_written_cell_by_cell_and_undone_in_one(as_coach, desk, plan, kind, scope):
    first = PlannedExercise.objects.filter(session__block__program=plan).order_by("session__week_no", "id")[0]
    second = PlannedExercise.objects.get(session=first.session_id, position=2)
    planned = second.pk if kind.startswith("load") or kind == "double" else first.pk
    if kind == "load ":
        planned = PlannedExercise.objects.get(session=first.session_id, position=3).pk
    sent = asked(kind, plan, scope=scope, planned=planned, muscle="chest")
    before, acts = state(), Act.objects.count()
    preview, answer = write(as_coach, plan, sent)
    assert answer.status_code == 302
    assert preview.cells
    shown = {cell.placed.pk: cell for cell in preview.cells}
    assert len(shown) == len(preview.cells)
    view = as_coach.get(reverse("programs:program_detail", args=[plan.pk])).context["page"].view
    for row in PlannedExercise.objects.filter(session__block__program=plan):
        was = before[f"PlannedExercise {row.pk}"]
        if row.pk in shown:
            cell, there = shown[row.pk], view.exercise(row.pk)
            assert (row.scheme, row.cue) == (cell.now["scheme"], cell.now["cue"])
            assert cell.was == {"scheme": was["scheme"], "exercise_id": row.exercise_id, "cue": was["cue"]}
            assert (there.words, there.loads) == (cell.new_words, cell.after.loads)
        else:
            assert (row.scheme, row.cue) == (was["scheme"], was["cue"])
    assert Act.objects.count() == acts + 1
    undone_and_redone(plan, desk, before)


@pytest.mark.parametrize("kind", KINDS)
def test_flags_said_to_appear_and_go_are_those_of_the_written_plan(as_coach, plan, kind):
    page = reverse("programs:program_detail", args=[plan.pk])
    place = lambda flags: {(f.code, f.where) for f in flags}  # noqa: E731
    before = place(as_coach.get(page).context["page"].view.open_flags())
    preview, _ = write(as_coach, plan, asked(kind, plan))
    after = place(as_coach.get(page).context["page"].view.open_flags())
    assert place(preview.appearing) == after - before
    assert place(preview.going) == before - after


def test_page_says_old_and_new_with_the_loads_made_for_the_client(as_coach, plan):
    row = PlannedExercise.objects.get(session__week_no=2, session__name="Upper", position=2)
    text = as_coach.get(url(plan), asked("load", plan, scope="exercise", planned=row.pk)).content.decode()
    assert "3 cells change in 3 weeks; 1 comes out as it is. Flags:" in text
    assert "3 x 8 @ 60 kg, rest 2 min" in text
    assert "3 x 8 @ 85 kg, rest 2 min" in text
    assert "<td>85 kg</td>" in text


def test_cells_left_are_listed_with_the_reason(as_coach, plan):
    text = as_coach.get(url(plan), asked("load", plan)).content.decode()
    assert "left as it is: its load goes by reps and RIR; there is no load to raise" in text
    assert "left as it is: its load is in % of 1RM; this adds kg to loads" in text


def test_plan_changed_since_the_preview_writes_nothing_and_shows_it_anew(as_coach, desk, plan):
    sent = asked("volume", plan)
    preview = as_coach.get(url(plan), sent).context["preview"]
    row = PlannedExercise.objects.get(session__week_no=1, session__name="Upper", position=3)
    services.edit_exercise(
        by=desk, planned=row, version=row.version, unit="kg",
        fields={**dict.fromkeys(engine.FIELDS, ""), "kind": "straight", "sets": "5", "load_kind": "percent",
                "load_value": "70", "reps": "8", "rest": "120"},
    )  # fmt: skip
    before = state()
    answer = as_coach.post(url(plan), {**sent, "digest": preview.digest})
    assert answer.status_code == 409
    assert "The programme changed since this was shown" in answer.content.decode()
    assert state() == before
    assert as_coach.post(url(plan), {**sent, "digest": answer.context["preview"].digest}).status_code == 302
    assert state() != before


@pytest.mark.parametrize(
    ("kind", "typed", "words"),
    [
        ("volume", {"from_week": 7}, "There is no week 7; this programme has 6 weeks."),
        ("volume", {"to_week": 104}, "There is no week 104; this programme has 6 weeks."),
        ("volume", {"from_week": 4, "to_week": 2}, "Week 2 comes before week 4."),
        ("volume", {"from_week": 0}, "greater than or equal to 1"),
        ("volume", {"share": "nan"}, "Enter a number."),
        ("volume", {"raise_by": 900}, "less than or equal to 50"),
        ("volume", {"every": "x"}, "Enter a whole number."),
        ("reps", {"reps": "8-6"}, "written with the smaller number first"),
        ("reps", {"reps": ", ".join(["8"] * 60)}, "at most 52 long"),
        ("reps", {"reps": "eight"}, "8, 6-8, 5+"),
        ("double", {"goal": "failure"}, "a number or a range such as 8-10"),
        ("load", {"amount": "-5"}, "load is"),
        ("load", {"amount": "99", "unit": "%"}, "above 0 and at most 50 points"),
        ("load", {"amount": "\N{ARABIC-INDIC DIGIT FIVE}"}, "load"),
        ("load", {"unit": "stone"}, "not one of the available choices"),
        ("layoff", {"days_away": -1}, "greater than or equal to 0"),
        ("lighter", {"every": ""}, "This field is required."),
        ("volume", {"scope": "exercise", "planned": ""}, "This field is required."),
        ("volume", {"scope": "exercise", "planned": 2**40}, "is not one of the available choices"),
        ("volume", {"scope": "muscle", "muscle": "tail"}, "is not one of the available choices"),
    ],
)
def test_bad_input_is_said_at_the_field_and_kept(as_coach, plan, kind, typed, words):
    before = state()
    for send in (as_coach.get, as_coach.post):
        answer = send(url(plan), asked(kind, plan, **typed))
        assert answer.status_code == 422
        assert words in answer.content.decode().replace("&#x27;", "'")
    name, value = list(typed.items())[-1]
    if name not in ("unit", "scope", "planned", "muscle"):
        assert f'value="{value}"' in answer.content.decode()
    assert state() == before


def test_strangers_planned_exercise_is_not_one_of_the_choices(as_coach, plan, stranger):
    other = PlannedExercise.objects.filter(session__block__program=made_plan(stranger))[0]
    answer = as_coach.get(url(plan), asked("volume", plan, scope="exercise", planned=other.pk))
    assert answer.status_code == 422
    assert "preview" not in answer.context


def test_unknown_kind_shows_the_first(as_coach, plan):
    assert as_coach.get(url(plan), {"kind": "magic"}).context["kind"] == "volume"


def test_muscle_starts_from_the_habit_of_the_log(as_coach, plan):
    weeks = {f"2026-{day}": {"chest": 10.0, "triceps": 5.0} for day in ("10-26", "11-02", "11-09", "11-16")}
    TrainingFacts.objects.create(
        client=plan.client, value={"v": 1, "days": {}, "weeks": weeks, "last_on": "2026-11-20"}
    )
    sent = asked("volume", plan, scope="muscle", muscle="chest", habit=1, share=120, raise_by=0)
    preview = as_coach.get(url(plan), sent).context["preview"]
    assert preview.notes[:2] == (
        "The habit for chest is 10 sets a week over 4 weeks.", "The weeks start at 120 % of it, 12 sets.",
    )  # fmt: skip
    sets = {}
    for cell in preview.cells:
        sets[cell.placed.week_no] = sets.get(cell.placed.week_no, 0) + engine.set_count(cell.scheme)
    assert sets == {1: 12, 2: 12, 4: 12, 6: 12}


def test_rep_goal_reads_the_last_set_of_the_last_two_sessions(as_coach, plan):
    row = PlannedExercise.objects.get(session__week_no=1, session__name="Upper", position=2)
    for n, reps in enumerate(((9, 10), (10, 11))):
        uid = f"00000000-0000-0000-0000-00000000000{n}"
        for one in reps:
            StrengthObservation.objects.create(
                client=plan.client, exercise=row.exercise, on=MONDAY.replace(day=9 + n), load=60_000, unit="kg",
                reps=one, source_uid=uid,
            )  # fmt: skip
    sent = asked("goal", plan, scope="exercise", planned=row.pk)
    preview = as_coach.get(url(plan), sent).context["preview"]
    assert {cell.new_words for cell in preview.cells} == {"3 x 8 @ 65 kg, rest 2 min"}


def test_number_of_queries_does_not_grow_with_what_is_filled(as_coach, desk, plan):
    counts = []
    for _ in range(2):
        with CaptureQueriesContext(connection) as seen:
            as_coach.get(url(plan), asked("volume", plan))
        counts.append(len(seen))
        services.copy_week(by=desk, program=plan, week_no=1, to_weeks=[2, 3, 4, 5, 6])
        ExerciseFactory(practice=desk.practice)
    assert counts[0] == counts[1]


def test_writing_takes_the_same_statements_for_ten_cells_or_fifty(as_coach, desk, plan):
    counts = []
    for _ in range(2):
        sent = asked("volume", plan, raise_by=0, share=200)
        preview = as_coach.get(url(plan), sent).context["preview"]
        with CaptureQueriesContext(connection) as seen:
            as_coach.post(url(plan), {**sent, "digest": preview.digest})
        counts.append((len(preview.cells), len(seen)))
        services.copy_week(by=desk, program=plan, week_no=1, to_weeks=[3, 5])
    assert counts[1][0] > counts[0][0]
    assert counts[1][1] <= counts[0][1] + 2
