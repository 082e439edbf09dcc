"""What an act changed, in one line: worked by hand from two snapshots, and through the page."""

import pytest
from django.core.cache import cache
from django.urls import reverse

from programs.selectors.changes import UNCHANGED, Snapshot, changes
from programs.services import record_test
from tests.factories.clients import ClientFactory
from tests.factories.programs import MONDAY, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory

WEEKS = frozenset({4, 5})
BEFORE = Snapshot(
    weeks=WEEKS,
    sets={(4, "chest"): 12, (4, "triceps"): 6, (5, "chest"): 12}, minutes={(4, 0, 1): 62, (4, 2, 2): 50},
    loads={7: ("Bench press", "80 kg"), 8: ("Row", "")}, flags=frozenset({("a",), ("b",)}),
)  # fmt: skip


def after(**changed):
    return Snapshot(**{**{n: getattr(BEFORE, n) for n in ("weeks", "sets", "minutes", "loads", "flags")}, **changed})


@pytest.mark.parametrize(
    ("changed", "line"),
    [
        ({}, UNCHANGED),
        ({"sets": {**BEFORE.sets, (4, "chest"): 14}}, "Chest, week 4: 12 to 14 sets."),
        ({"sets": {**BEFORE.sets, (4, "chest"): 14, (4, "triceps"): 7}},
         "Chest, week 4: 12 to 14 sets; triceps, week 4: 6 to 7 sets."),
        ({"sets": {(4, "chest"): 12, (4, "triceps"): 6}}, "Chest, week 5: 12 to 0 sets."),
        ({"sets": {(4, "chest"): 10.5, (4, "triceps"): 6, (5, "chest"): 10.5}},
         "Chest, week 4: 12 to 10.5 sets; 1 more week changed."),
        ({"minutes": {(4, 0, 1): 68, (4, 2, 2): 50}}, "Mon, week 4: 62 to 68 min."),
        ({"minutes": {(4, 0, 1): 62}}, "Wed, week 4: 50 min gone."),
        ({"loads": {7: ("Bench press", "82.5 kg"), 8: ("Row", "60 kg")}},
         "Bench press: 80 to 82.5 kg; Row: no load to 60 kg."),
        ({"weeks": frozenset({4}), "sets": {(4, "chest"): 12, (4, "triceps"): 6}, "flags": frozenset()}, UNCHANGED),
        ({"flags": frozenset({("b",), ("c",)})}, "1 flag gone; 1 flag new."),
    ],
)  # fmt: skip
def test_one_line_says_what_moved(changed, line):
    assert changes(BEFORE, after(**changed)) == line


@pytest.mark.django_db
def test_the_answer_to_an_edit_says_what_it_changed_and_the_next_page_does_not(as_coach, desk, gym):
    cache.clear()
    client = ClientFactory(coach=desk, place=gym, level="intermediate", born_on=None)
    program = ProgramFactory(coach=desk, client=client)
    row = PlannedExerciseFactory(session=PlannedSessionFactory(program=program))
    record_test(by=desk, client=client, exercise=row.exercise, load=100_000, unit="kg", reps=1, on=MONDAY)
    url = reverse("programs:program_detail", args=[program.pk])
    page = as_coach.get(url, {"session": row.session_id})
    assert page.context["changed"] == ""
    values = next(iter(page.context["page"].rows)).values
    post = reverse("programs:planned_exercise_edit", args=[row.pk])
    answer = as_coach.post(post, {**values, "written": "4 x 8 @ 80 %"}, HTTP_HX_REQUEST="true")
    line = answer.context["changed"]
    assert line.startswith("Chest, week 1: 3 to 4 sets; triceps, week 1: 1.5 to 2 sets; Mon, week 1: ")
    assert f"{row.exercise.name}: 75 to 80 kg" in line
    assert line in answer.content.decode()
    assert as_coach.get(url, {"session": row.session_id}).context["changed"] == ""
    back = as_coach.post(reverse("programs:program_undo", args=[program.pk]), HTTP_HX_REQUEST="true")
    assert back.context["changed"].startswith("Chest, week 1: 4 to 3 sets")
