"""Comparing schemes: the editor's own numbers, differences in words, bad input kept, 'use this'."""

import re

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from coachdesk import engine
from programs.models import Scheme
from programs.scheme_notes import start_of
from programs.selectors.compare import share
from programs.selectors.prescription import session_view
from programs.services import record_test
from tests.factories.clients import ClientFactory
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    SchemeFactory,
)

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}
URL = "/compare/"
DROPS = {
    "kind": "drop_set",
    "sets": "1",
    "load_kind": "percent",
    "reps": "failure",
    "ladder": "80/65/50",
    "rest": "180",
}


@pytest.fixture
def planned(desk, gym):
    """The second exercise of a session for a client whose 1RM is 100 kg, at a place with a bar."""
    client = ClientFactory(coach=desk, place=gym, level="intermediate", born_on=None)
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=client), name="Upper A")
    first = PlannedExerciseFactory(session=session, exercise=ExerciseFactory(name="Dip"))
    row = PlannedExerciseFactory(session=session, exercise=ExerciseFactory(name="Bench press"))
    for exercise in (first.exercise, row.exercise):
        record_test(by=desk, client=client, exercise=exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    return row


def columns(letter_fields):
    """Query of several columns: {'a': {...}, 'b': {...}}."""
    return {f"{letter}-{name}": value for letter, fields in letter_fields.items() for name, value in fields.items()}


def page_of(http, **query):
    return http.get(URL, query).context["page"]


@pytest.fixture
def bench(db):
    return ExerciseFactory(name="Bench press", code="bench_press")


def test_starts_with_straight_sets_a_drop_set_and_a_pyramid_for_an_example(as_coach, bench):
    page = page_of(as_coach)
    assert [c.kind for c in page.columns] == ["straight", "drop_set", "ascending_pyramid"]
    assert [c.words for c in page.columns] == [
        "3 x to failure @ 80 %, rest 3 min", "1 x (80/65/50 % to failure)",
        "15 @ 65 %, 10 @ 75 %, 6 @ 85 %; rest 2 min",
    ]  # fmt: skip
    assert page.needs_maximum
    assert all(c.svg for c in page.columns)


def test_a_drop_set_takes_a_third_of_the_time_and_more_fatigue_a_minute(as_coach, bench):
    """Published: some protocols take a third to a half of the time (Sodal 2023). The rest is a modelling choice."""
    straight, drops, _ = page_of(as_coach).columns
    a, b = straight.trial, drops.trial
    assert 0.2 <= b.minutes / a.minutes <= 0.5
    assert b.fatigue(48) / b.minutes > 2 * a.fatigue(48) / a.minutes
    low, high = b.made.hard_sets.low, b.made.hard_sets.high
    assert (low, high) == (1, 3)
    assert drops.against.startswith(f"{share(b.minutes, a.minutes)} of the time, ")
    assert straight.against == ""


def test_fatigue_fades_with_the_engines_half_life(as_coach, bench):
    trial = page_of(as_coach).columns[0].trial
    half = engine.half_life_hours(trial.lifter.traits, True, trial.lifter.rules)
    assert trial.fatigue(half) == pytest.approx(trial.fatigue(0) / 2)
    assert trial.fatigue(0) == pytest.approx(trial.made.impulse)


def test_volume_load_is_load_times_reps_in_the_unit_of_the_practice(as_coach, bench):
    trial = page_of(as_coach).columns[0].trial
    assert trial.volume_load == pytest.approx(80 * trial.reps)


def test_planned_exercise_is_prescribed_as_the_editor_does_within_its_session(as_coach, planned):
    page = page_of(as_coach, planned=planned.pk)
    shown = session_view(planned.session, client=planned.session.block.program.client, on=MONDAY)
    assert page.columns[0].trial.made.sets == shown.exercises[1].prescribed.sets
    assert page.lifter.before == ("Dip",)
    assert not page.needs_maximum


def test_range_comes_from_the_clients_interval_at_the_same_loads(as_coach, planned):
    page = page_of(as_coach, planned=planned.pk, **columns({"a": DROPS, "b": start_of("straight")}))
    for one in page.columns[0].trial.steps:
        assert one.reps_low < one.step.expected_reps < one.reps_high


def test_range_of_an_example_is_the_spread_between_people(as_coach, bench):
    steps = page_of(as_coach).columns[0].trial.steps
    assert all(one.reps_low < one.step.expected_reps < one.reps_high for one in steps)
    assert steps[0].range_words == f"{steps[0].reps_low:.1f}-{steps[0].reps_high:.1f}"


@pytest.mark.parametrize("kind", [kind for kind in engine.SCHEMES if kind != "series"])
def test_every_kind_of_the_engine_can_be_compared(as_coach, bench, kind):
    page = page_of(as_coach, **columns({"a": start_of("straight"), "b": start_of(kind)}))
    assert page.columns[1].errors == {}
    assert page.columns[1].trial is not None
    assert page.columns[1].svg
    assert page.columns[1].trial.reps > 0


def test_minutes_count_the_change_of_load_of_the_equipment(as_coach, desk):
    """House rule: plates 15 s, a stack pin 3 s."""
    bar, stack = ExerciseFactory(), ExerciseFactory(equipment_kind="stack")
    query = columns({"a": DROPS, "b": DROPS})
    seconds = []
    for exercise in (bar, stack):
        page = page_of(as_coach, exercise=exercise.pk, **query)
        trial = page.columns[0].trial
        work = sum(engine.step_seconds(one.step, trial.made.exercise) for one in trial.steps)
        seconds.append(round(60 * trial.minutes - work))
        assert (
            f"takes {page.lifter.change_s:.0f} s here" in as_coach.get(URL, {"exercise": exercise.pk}).content.decode()
        )
    assert seconds == [30, 6]


@pytest.mark.parametrize(
    ("field", "value"),
    [("ladder", "80/x"), ("sets", "0"), ("load_kind", "nothing"), ("rest", "-1"), ("reps", "1001"), ("kind", "none"),
     ("rir", "11"), ("ladder", "9" * 500), ("kind", "series")],
)  # fmt: skip
def test_bad_field_says_so_and_keeps_what_was_typed_and_the_other_schemes(as_coach, bench, field, value):
    answer = as_coach.get(URL, columns({"a": start_of("straight"), "b": {**DROPS, field: value}}))
    text = answer.content.decode()
    assert answer.status_code == 422
    page = answer.context["page"]
    assert page.columns[1].errors
    assert page.columns[0].trial is not None
    assert 'id="b-' in text
    if field not in ("kind", "load_kind") and len(value) < 50:
        assert f'value="{value}"' in text


@pytest.mark.parametrize("value", ["0", "-5", "nan", "1e400", "x", "99999"])
def test_bad_maximum_says_so(as_coach, bench, value):
    answer = as_coach.get(URL, {"max": value})
    assert answer.status_code == 422
    assert answer.context["page"].maximum_error
    assert f'value="{value}"' in answer.content.decode()


def test_stated_maximum_moves_the_loads(as_coach, bench):
    assert page_of(as_coach, max="50").columns[0].trial.made.sets[0][0].load == 40_000


@pytest.mark.parametrize("query", [{"client": "x"}, {"client": "9" * 30}, {"planned": "-1"}, {"exercise": "0"}])
def test_address_that_names_nothing_falls_back_to_the_example(as_coach, bench, query):
    assert as_coach.get(URL, query).status_code == 200


def test_another_practices_plan_and_client_are_not_shown(as_stranger, planned, bench):
    client = planned.session.block.program.client
    page = page_of(as_stranger, planned=planned.pk, client=client.pk)
    assert (page.planned, page.client) == (None, None)


def test_another_kind_begins_from_its_usual_start(as_coach, bench):
    typed = columns({"a": start_of("straight"), "b": {**start_of("straight"), "kind": "drop_set", "was": "straight"}})
    assert page_of(as_coach, **typed).columns[1].typed == start_of("drop_set")


def test_a_kept_scheme_fills_a_column(as_coach, bench, desk):
    row = SchemeFactory(practice=desk.practice, name="Ladder")
    typed = columns({"a": start_of("straight"), "b": {"kind": f"saved-{row.pk}"}})
    assert page_of(as_coach, **typed).columns[1].words == "1 x (80/65/50 % to failure)"


def test_schemes_are_added_and_taken_away_between_two_and_four(as_coach, bench):
    typed = columns({"a": start_of("straight"), "b": start_of("drop_set"), "c": start_of("ascending_pyramid")})
    assert len(page_of(as_coach, add="1", **typed).columns) == 4
    page = page_of(as_coach, remove="b", **typed)
    assert [(c.letter, c.kind) for c in page.columns] == [("a", "straight"), ("b", "ascending_pyramid")]
    assert len(page_of(as_coach, **columns({"a": start_of("straight")})).columns) == 2


def test_htmx_gets_only_the_comparison_with_stable_ids(as_coach, bench):
    text = as_coach.get(URL, columns({"a": start_of("straight"), "b": DROPS}), **HTMX).content.decode()
    assert text.lstrip().startswith('<div id="compare">')
    assert not [tag for tag in re.findall(r"<(?:input|select|button|summary)\b[^>]*>", text)
                if "hidden" not in tag and "id=" not in tag]  # fmt: skip


def test_number_of_queries_does_not_grow_with_schemes(as_coach, planned):
    counts = []
    for letters in ("ab", "abcd"):
        with CaptureQueriesContext(connection) as seen:
            as_coach.get(URL, {"planned": planned.pk, **columns(dict.fromkeys(letters, DROPS))})
        counts.append(len(seen))
    assert counts[0] == counts[1] <= 25


def use(http, row, **more):
    url = reverse("programs:planned_exercise_scheme", args=[row.pk])
    return http.post(url, {**DROPS, "version": row.version, **more})


def test_use_this_puts_the_scheme_into_the_plan_as_a_named_act_that_undo_takes_back(as_coach, planned):
    before, program = planned.scheme, planned.session.block.program_id
    answer = use(as_coach, planned)
    assert answer.status_code == 302
    assert answer["Location"].endswith(f"?session={planned.session_id}#row-{planned.pk}")
    planned.refresh_from_db()
    assert planned.scheme["kind"] == "drop_set"
    page = as_coach.get(answer["Location"]).context["page"]
    assert page.undo.label == "Use 1 x (80/65/50 % to failure) for Bench press, Upper A, week 1"
    as_coach.post(reverse("programs:program_undo", args=[program]))
    planned.refresh_from_db()
    assert planned.scheme == before


def test_use_this_after_somebody_elses_change_asks_first_and_then_writes(as_coach, planned):
    stale = planned.version
    use(as_coach, planned, ladder="80/60")
    answer = use(as_coach, planned, version=stale)
    assert answer.status_code == 409
    assert "80/60 % to failure" in answer.content.decode()
    planned.refresh_from_db()
    assert use(as_coach, planned, version=planned.version).status_code == 302


@pytest.mark.parametrize("more", [{"ladder": "x"}, {"version": ""}, {"version": "nonsense"}, {"kind": ""}])
def test_use_this_with_what_cannot_be_read_writes_nothing(as_coach, planned, more):
    before = planned.scheme
    answer = use(as_coach, planned, **more)
    assert answer.status_code in (422, 302 if more == {"kind": ""} else 422)
    planned.refresh_from_db()
    assert planned.scheme == before or more == {"kind": ""}


def test_without_a_plan_the_scheme_is_kept_in_the_library(as_coach, bench, desk):
    text = as_coach.get(URL).content.decode()
    assert f'action="{reverse("programs:scheme_new")}"' in text
    as_coach.post(reverse("programs:scheme_new"), {**DROPS, "name": "Ladder"})
    assert Scheme.objects.get(practice=desk.practice).name == "Ladder"


def test_the_editor_links_to_the_comparison_of_a_row(as_coach, planned):
    url = reverse("programs:program_detail", args=[planned.session.block.program_id])
    text = as_coach.get(url, {"session": planned.session_id}).content.decode()
    assert f'href="{URL}?planned={planned.pk}"' in text


def test_without_any_exercise_the_page_says_so(as_coach):
    assert "There is no exercise" in as_coach.get(URL).content.decode()


@pytest.mark.parametrize(("value", "first", "words"), [(1, 2, "0.5"), (1, 7, "0.14"), (3, 2, "1.5"), (1, 0, "")])
def test_share_says_enough_when_it_is_small(value, first, words):
    assert share(value, first) == words
