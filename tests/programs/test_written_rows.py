"""Rows typed as written: both ways in step, misread lines kept, series, cues carried on, a line that adds a row."""

import pytest
from django.urls import reverse

from coachdesk import engine
from programs.models import PlannedExercise
from tests.factories.programs import (
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}
SERIES = engine.read_written("3 x 5 @ 85 %; then after 5 min: 1 x (70/55 % to failure)", "kg").scheme


@pytest.fixture
def planned(desk):
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk))
    return PlannedExerciseFactory(session=session, exercise=ExerciseFactory(name="Bench press"))


def drawn(http, row):
    """The row's fields as the page draws them."""
    url = reverse("programs:program_detail", args=[row.session.block.program_id])
    page = http.get(url, {"session": row.session_id}).context["page"]
    return dict(next(r for r in page.rows if r.pk == row.pk).values)


def post(http, row, *, htmx=True, **changed):
    url = reverse("programs:planned_exercise_edit", args=[row.pk])
    return http.post(url, {**drawn(http, row), **changed}, **(HTMX if htmx else {}))


def words(row):
    row.refresh_from_db()
    return engine.scheme_words(engine.scheme_from_json(row.scheme))


def test_row_is_drawn_as_written(as_coach, planned):
    values = drawn(as_coach, planned)
    assert values["written"] == values["written_was"] == "3 x 8 @ 75 %, rest 2 min"


@pytest.mark.parametrize("htmx", [True, False])
def test_written_line_changes_the_fields_with_and_without_scripts(as_coach, planned, htmx):
    answer = post(as_coach, planned, htmx=htmx, written="4 x 6-8 @ 80 % rest 3 min")
    assert answer.status_code == (200 if htmx else 302)
    values = drawn(as_coach, planned)
    assert [values[n] for n in ("sets", "load_value", "reps", "rest")] == ["4", "80", "6-8", "180"]


def test_field_changes_the_written_line(as_coach, planned):
    assert 'value="5 x 8 @ 75 %, rest 2 min"' in post(as_coach, planned, sets="5").content.decode()


def test_what_the_line_leaves_out_stays_as_typed_in_the_fields(as_coach, planned):
    post(as_coach, planned, written="5 x 5", rest="200")
    assert words(planned) == "5 x 5 @ 75 %, rest 3 min 20 s"


@pytest.mark.parametrize("htmx", [True, False])
def test_misread_line_says_what_it_understood_and_keeps_the_text(as_coach, planned, htmx):
    answer = post(as_coach, planned, htmx=htmx, written="4 x 6-8 @ 75 % rst 2")
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "Understood 4 sets of 6-8 at 75 %. Not understood: &#x27;rst 2&#x27;." in text
    assert 'value="4 x 6-8 @ 75 % rst 2" data-saved="3 x 8 @ 75 %, rest 2 min"' in text
    assert words(planned) == "3 x 8 @ 75 %, rest 2 min"


def test_emptied_line_is_no_scheme(as_coach, planned):
    answer = post(as_coach, planned, written="")
    assert answer.status_code == 422
    assert "Write sets, reps and a load" in answer.content.decode()


def test_side_and_hold_outlive_an_edit_of_another_field(as_coach, planned):
    planned.scheme = scheme_json(side="l", hold="rir")
    planned.save()
    post(as_coach, planned, sets="4", side="", hold="")
    fields = drawn(as_coach, planned)
    assert (fields["sets"], fields["side"], fields["hold"]) == ("4", "l", "rir")


def test_series_is_written_kept_and_replaced(as_coach, planned):
    line = engine.scheme_words(SERIES)
    assert post(as_coach, planned, written=line).status_code == 200
    assert words(planned) == line
    assert post(as_coach, planned, cue="Stay tight").status_code == 200  # the scheme stays whole
    assert words(planned) == line
    assert planned.cue == "Stay tight"
    assert post(as_coach, planned, written="3 x 5 @ 80 %").status_code == 200
    assert words(planned) == "3 x 5 @ 80 %, rest 2 min"


def test_two_coaches_one_writes_the_line_one_the_note(as_coach, planned):
    mine = {**drawn(as_coach, planned), "written": "5 x 3 @ 85 %"}
    post(as_coach, planned, private_note="Knee is better")
    url = reverse("programs:planned_exercise_edit", args=[planned.pk])
    assert as_coach.post(url, mine, **HTMX).status_code == 200
    assert words(planned) == "5 x 3 @ 85 %, rest 2 min"
    assert planned.private_note == "Knee is better"


def test_two_written_lines_clash_and_both_are_shown(as_coach, planned):
    mine = {**drawn(as_coach, planned), "written": "5 x 3 @ 85 %"}
    post(as_coach, planned, written="2 x 10 @ 60 %")
    url = reverse("programs:planned_exercise_edit", args=[planned.pk])
    answer = as_coach.post(url, mine, **HTMX)
    text = answer.content.decode()
    assert answer.status_code == 409
    assert 'value="5 x 3 @ 85 %"' in text
    assert "yours 5" in text
    assert "theirs 2" in text


def test_private_note_never_reaches_the_sheet(as_coach, desk, gym):
    from tests.factories.clients import ClientFactory, ScreeningFactory

    client = ClientFactory(coach=desk, place=gym)
    ScreeningFactory(client=client)
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client))
    row = PlannedExerciseFactory(session=session, cue="Elbows in", private_note="Ask about the shoulder")
    made = as_coach.post(reverse("programs:sheet_issue", args=[session.pk]), follow=True)
    text = made.content.decode()
    assert "Elbows in" in text
    assert row.private_note not in text


def test_cue_is_carried_to_the_weeks_after_in_one_act(as_coach, planned, desk):
    program = planned.session.block.program
    later = [
        PlannedExerciseFactory(session=PlannedSessionFactory(program=program, week_no=n), exercise=planned.exercise)
        for n in (2, 3)
    ]
    other = PlannedExerciseFactory(session=later[0].session)
    text = post(as_coach, planned, cue="Elbows in").content.decode()
    assert "Give this cue to the 2 later rows of Bench press" in text
    as_coach.post(reverse("programs:planned_exercise_cue", args=[planned.pk]))
    cues = dict(PlannedExercise.objects.values_list("pk", "cue"))
    assert [cues[row.pk] for row in (*later, other)] == ["Elbows in", "Elbows in", ""]
    assert "later rows of" not in post(as_coach, planned).content.decode()
    as_coach.post(reverse("programs:program_undo", args=[program.pk]))
    assert set(PlannedExercise.objects.exclude(pk=planned.pk).values_list("cue", flat=True)) == {""}


def add(http, planned, line):
    return http.post(reverse("programs:exercise_add", args=[planned.session_id]), {"line": line}, **HTMX)


@pytest.mark.parametrize(
    ("line", "name", "scheme"),
    [
        ("Bench press 4 x 6-8 @ 75 % rest 2 min", "Bench press", "4 x 6-8 @ 75 %, rest 2 min"),
        ("bench PRESS: 3x10 RIR 2", "Bench press", "3 x 10, RIR 2, rest 2 min"),
        ("45 degree back extension 3 x 12 RIR 2", "45 degree back extension", "3 x 12, RIR 2, rest 2 min"),
        ("back ext 3 x 12 RIR 2", "45 degree back extension", "3 x 12, RIR 2, rest 2 min"),
        ("Bench press", "Bench press", "3 x 8, RIR 2, rest 2 min"),
    ],
)
def test_written_line_adds_an_exercise(as_coach, planned, line, name, scheme):
    ExerciseFactory(name="45 degree back extension")
    ExerciseFactory(name="Bench press, close grip")
    assert add(as_coach, planned, line).status_code == 200
    made = PlannedExercise.objects.latest("id")
    assert (made.exercise.name, words(made)) == (name, scheme)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("Bench press 4 x 6-8 @ 75 % rst 2", "Bench press: Understood 4 sets of 6-8 at 75 %. Not understood"),
        ("Leg press 3 x 8", "No exercise is called &#x27;Leg press&#x27;"),
        ("press 3 x 8", "2 exercises fit &#x27;press&#x27;: Bench press, Overhead press."),
        ("4 x 8", "write its name first"),
        ("", "Write an exercise"),
    ],
)
def test_line_that_adds_nothing_says_why_and_is_kept(as_coach, planned, line, said):
    ExerciseFactory(name="Overhead press")
    answer = add(as_coach, planned, line)
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said in text
    assert f'value="{line}"' in text
    assert PlannedExercise.objects.count() == 1


def test_each_row_has_its_own_exercise_chosen_and_names_are_escaped(as_coach, planned):
    other = PlannedExerciseFactory(session=planned.session, exercise=ExerciseFactory(name="Press <b> & row"))
    url = reverse("programs:program_detail", args=[planned.session.block.program_id])
    answer = as_coach.get(url, {"session": planned.session_id})
    text = answer.content.decode()
    for row, name in ((planned, "Bench press"), (other, "Press &lt;b&gt; &amp; row")):
        assert f'<option value="{row.exercise_id}" selected>{name}</option>' in text
    assert [row.options.count(" selected") for row in answer.context["page"].rows] == [1, 1]
    assert "<b>" not in text
