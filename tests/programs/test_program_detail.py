"""The editor: rows edited in place, effects beside them, undo, clashes, bad input."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from programs.models import PlannedExercise, PlannedSession, Program
from programs.services import record_test
from tests.factories.clients import ClientFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
)  # fmt: skip

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}
ROW = {
    "kind": "straight", "sets": "3", "load_kind": "percent", "load_value": "75", "reps": "8", "rir": "", "rest": "120",
    "ladder": "",
}  # fmt: skip


@pytest.fixture
def planned(desk, gym):
    """A bench-like press at 75 % for a client whose 1RM is known, at a place with a bar."""
    client = ClientFactory(coach=desk, place=gym, level="intermediate", born_on=None)
    program = ProgramFactory(coach=desk, client=client)
    session = PlannedSessionFactory(program=program)
    row = PlannedExerciseFactory(session=session, exercise=ExerciseFactory(name="Bench press"))
    record_test(by=desk, client=client, exercise=row.exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return row


def edit(http, row, *, htmx=True, **fields):
    url = reverse("programs:planned_exercise_edit", args=[row.pk])
    return http.post(url, {**ROW, "version": row.version, **fields}, **(HTMX if htmx else {}))


def test_program_detail_shows_loads_that_the_bar_can_make(as_coach, planned):
    page = as_coach.get(
        reverse("programs:program_detail", args=[planned.session.block.program_id]), {"session": planned.session_id}
    )
    assert page.status_code == 200
    assert ">75 kg<" in page.content.decode()


def test_edit_answers_with_row_effects_and_undo(as_coach, planned):
    answer = edit(as_coach, planned, load_value="80")
    text = answer.content.decode()
    assert answer.status_code == 200
    assert ">80 kg<" in text
    for part in (f'id="row-{planned.pk}"', 'id="effects"', "Undo: Change Bench press", 'id="session-facts"'):
        assert part in text
    planned.refresh_from_db()
    assert planned.version == 2


def test_edit_without_javascript_redirects_to_the_open_session(as_coach, planned):
    answer = edit(as_coach, planned, htmx=False, sets="4")
    assert answer.status_code == 302
    assert f"session={planned.session_id}" in answer["Location"]


def test_undo_puts_back_the_scheme_and_redo_does_it_again(as_coach, planned):
    before = planned.scheme
    edit(as_coach, planned, load_value="80")
    program = planned.session.block.program_id
    as_coach.post(reverse("programs:program_undo", args=[program]))
    planned.refresh_from_db()
    assert planned.scheme == before
    as_coach.post(reverse("programs:program_redo", args=[program]))
    planned.refresh_from_db()
    assert planned.scheme != before


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("sets", "0"), ("sets", "-1"), ("sets", "NaN"), ("sets", "21"), ("sets", "1e400"), ("load_value", "0"),
        ("load_value", "-5"), ("load_value", "nan"), ("load_value", "101"), ("reps", "0"), ("reps", "-3"),
        ("reps", "1001"), ("reps", "8-6"), ("reps", "\N{ARABIC-INDIC DIGIT FIVE}x"), ("rir", "11"), ("rest", "-1"),
        ("rest", "99999"), ("load_value", "9" * 40), ("kind", "nothing"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("htmx", [True, False])
def test_edit_with_bad_value_says_so_at_the_field_and_keeps_what_was_typed(as_coach, planned, field, value, htmx):
    answer = edit(as_coach, planned, htmx=htmx, **{field: value})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert f'id="row-{planned.pk}-{field}-error"' in text
    if field != "kind":
        assert f'value="{value}"' in text
    planned.refresh_from_db()
    assert planned.version == 1


def test_comma_decimals_are_read(as_coach, planned):
    assert edit(as_coach, planned, load_value="72,5").status_code == 200
    planned.refresh_from_db()
    assert planned.scheme["step"]["load"]["value"] == 72.5


def test_two_tabs_on_one_cell_answer_409_with_both_values(as_coach, planned):
    assert edit(as_coach, planned, load_value="80").status_code == 200
    answer = edit(as_coach, planned, load_value="70")
    text = answer.content.decode()
    assert answer.status_code == 409
    assert "yours 70" in text
    assert "theirs 80" in text
    assert 'value="70"' in text


def test_two_tabs_on_different_cells_keep_both(as_coach, planned):
    assert edit(as_coach, planned, load_value="80").status_code == 200
    assert edit(as_coach, planned, reps="6").status_code == 200
    planned.refresh_from_db()
    assert planned.scheme["step"]["load"]["value"] == 80
    assert planned.scheme["step"]["reps"]["low"] == 6


def test_load_that_no_equipment_makes_is_flagged_with_a_remedy_that_works(as_coach, planned):
    answer = edit(as_coach, planned, load_kind="fixed", load_value="71")
    assert "cannot be made" in answer.content.decode()
    program = planned.session.block.program
    page = as_coach.get(reverse("programs:program_detail", args=[program.pk]), {"session": planned.session_id})
    flag = next(f for f in page.context["page"].flags if f.code == "load_not_makeable")
    as_coach.post(reverse("programs:flag_apply", args=[program.pk]), {"flag": flag.id, "remedy": "0"})
    page = as_coach.get(reverse("programs:program_detail", args=[program.pk]), {"session": planned.session_id})
    assert "load_not_makeable" not in {f.code for f in page.context["page"].flags}


def test_client_without_any_maximum_is_flagged_and_the_remedy_asks_for_reps_in_reserve(as_coach, desk, gym):
    client = ClientFactory(coach=desk, place=gym)
    program = ProgramFactory(coach=desk, client=client)
    row = PlannedExerciseFactory(session=PlannedSessionFactory(program=program))
    url = reverse("programs:program_detail", args=[program.pk])
    flag = next(f for f in as_coach.get(url, {"week": 1}).context["page"].flags if f.code == "maximum_unknown")
    as_coach.post(reverse("programs:flag_apply", args=[program.pk]), {"flag": flag.id, "remedy": "0"})
    row.refresh_from_db()
    assert row.scheme["step"]["load"]["kind"] == "effort"
    assert "maximum_unknown" not in {f.code for f in as_coach.get(url, {"week": 1}).context["page"].flags}


def test_flag_set_aside_needs_a_reason_and_stays_away(as_coach, planned):
    edit(as_coach, planned, load_kind="fixed", load_value="71")
    program = planned.session.block.program
    url = reverse("programs:program_detail", args=[program.pk])
    flag = next(f for f in as_coach.get(url).context["page"].flags if f.code == "load_not_makeable")
    dismiss = reverse("programs:flag_dismiss", args=[program.pk])
    as_coach.post(dismiss, {"flag": flag.id, "why": "  "})
    assert flag.id in {f.id for f in as_coach.get(url).context["page"].flags}
    as_coach.post(dismiss, {"flag": flag.id, "why": "The new bar comes on Friday."})
    assert flag.id not in {f.id for f in as_coach.get(url).context["page"].flags}


@pytest.mark.parametrize("weeks", ["0", "104", "-1", "x", "1,5", ""])
def test_programme_of_impossible_length_is_refused_with_the_name_kept(as_coach, weeks):
    answer = as_coach.post(reverse("programs:program_new"), {"name": "Long one", "weeks": weeks})
    assert answer.status_code == 422
    assert 'value="Long one"' in answer.content.decode()
    assert not Program.objects.exists()


def test_start_in_the_past_is_refused(as_coach, planned):
    program = planned.session.block.program
    answer = as_coach.post(
        reverse("programs:program_assign", args=[program.pk]), {"client": program.client_id, "start_on": "2020-01-06"}
    )
    assert answer.status_code == 422
    assert "is in the past" in answer.content.decode()
    assert Program.objects.count() == 1


def test_copy_week_replaces_and_undo_brings_back(as_coach, planned):
    program = planned.session.block.program
    other = PlannedSessionFactory(program=program, week_no=2, day=3, name="Old")
    url = reverse("programs:week_place", args=[program.pk])
    as_coach.post(url, {"week_no": 1, "to": 2, "to_last": 4, "copy": 1})
    names = PlannedSession.objects.filter(block__program=program, week_no__gte=2).values_list("week_no", "name")
    assert sorted(names) == [(n, planned.session.name) for n in (2, 3, 4)]
    assert PlannedExercise.objects.filter(session__week_no=3).count() == 1
    as_coach.post(reverse("programs:program_undo", args=[program.pk]))
    left = PlannedSession.objects.filter(block__program=program, week_no__gte=2).values_list("pk", "name")
    assert list(left) == [(other.pk, "Old")]


@pytest.mark.parametrize("typed", [{"to": "5"}, {"to": "3", "to_last": "2"}, {"to": "1"}, {"to": "x"}])
def test_copy_week_to_nowhere_says_why(as_coach, planned, typed):
    url = reverse("programs:week_place", args=[planned.session.block.program_id])
    answer = as_coach.post(url, {"week_no": 1, "to_last": "", "copy": 1, **typed})
    assert answer.status_code == 422
    assert [m.level_tag for m in answer.context["messages"]] == ["error"]
    assert f'name="to" inputmode="numeric" required value="{typed["to"]}"' in answer.content.decode()


def test_drop_below_the_lightest_load_is_removed_and_that_is_said(as_coach, planned):
    answer = edit(as_coach, planned, kind="drop_set", load_value="40", reps="failure", ladder="40/30/10", rir="")
    assert answer.status_code == 200
    assert "is left out: the lightest load is 20 kg" in answer.content.decode()


def test_choosing_a_pyramid_starts_from_the_usual_one(as_coach, planned):
    answer = edit(as_coach, planned, kind="ascending_pyramid")
    assert answer.status_code == 200
    planned.refresh_from_db()
    assert [row["load"]["value"] for row in planned.scheme["ladder"]] == [65, 75, 85]


def test_exercise_deleted_meanwhile_answers_404(as_coach, planned):
    pk = planned.pk
    as_coach.post(reverse("programs:planned_exercise_delete", args=[pk]))
    assert as_coach.post(reverse("programs:planned_exercise_edit", args=[pk]), ROW, **HTMX).status_code == 404


def test_assistant_sees_but_may_not_change(as_assistant, planned):
    assert (
        as_assistant.get(reverse("programs:program_detail", args=[planned.session.block.program_id])).status_code == 200
    )
    assert edit(as_assistant, planned).status_code == 403


def test_number_of_queries_does_not_grow_with_weeks(as_coach, planned):
    program = planned.session.block.program
    url = reverse("programs:program_detail", args=[program.pk])
    counts = []
    for _ in range(2):
        as_coach.get(url)  # takes the waiting messages out of the session
        with CaptureQueriesContext(connection) as seen:
            as_coach.get(url, {"session": planned.session_id})
        counts.append(len(seen))
        as_coach.post(
            reverse("programs:week_place", args=[program.pk]), {"week_no": 1, "to": 2, "to_last": 4, "copy": 1}
        )
    assert counts[0] == counts[1]


def test_effects_draw_fatigue_of_the_chosen_muscle_and_keep_it_when_a_row_changes(as_coach, planned):
    url = reverse("programs:program_detail", args=[planned.session.block.program_id])
    assert as_coach.get(url).context["page"].fatigue.code == "chest"
    assert as_coach.get(url, {"muscle": "triceps"}).context["page"].fatigue.code == "triceps"
    assert as_coach.get(url, {"muscle": "calves"}).context["page"].fatigue.code == "chest"
    answer = edit(as_coach, planned, load_value="80", muscle="triceps")
    assert '<option value="triceps" selected>' in answer.content.decode()


def test_each_row_has_its_profile_and_the_programme_its_week_table(as_coach, planned):
    answer = edit(as_coach, planned, load_value="80")
    text = answer.content.decode()
    assert text.count('class="profile small"') == 1
    assert 'id="weeks-picture" hx-swap-oob="true"' in text
    assert "Sets per muscle over the weeks" in text


def test_remedy_is_applied_to_a_template_looked_at_with_a_client(as_coach, desk, gym):
    client = ClientFactory(coach=desk, place=gym)
    row = PlannedExerciseFactory(session=PlannedSessionFactory(program=ProgramFactory(coach=desk)))
    url = reverse("programs:program_detail", args=[row.session.block.program_id])
    page = as_coach.get(url, {"session": row.session_id, "for": client.pk}).context["page"]
    flag = next(f for f in page.flags if f.code == "maximum_unknown")
    answer = as_coach.post(page.apply_url, {"flag": flag.id, "remedy": "0"}, **HTMX)
    assert answer.status_code == 200
    assert 'id="editor"' in answer.content.decode()
    row.refresh_from_db()
    assert row.scheme["step"]["load"]["kind"] == "effort"
