"""The exercise library: whole, consistent, and in line with plain anatomy and the trade's cautions."""

import re
from collections import Counter

import pytest

from coachdesk.engine import MUSCLES
from programs.library.chains import EASIER
from programs.library.entry import EQUIPMENT_KINDS, PATTERNS, REP_KINDS, LibraryExercise, entry
from programs.library.exercises import LIBRARY, library_exercise
from programs.models import Exercise
from programs.services import load_library

MUSCLE_CODES = {muscle.code for muscle in MUSCLES}
each_exercise = pytest.mark.parametrize("exercise", LIBRARY, ids=lambda exercise: exercise.code)


def test_library_holds_at_least_sixty_exercises_with_codes_names_and_descriptions_used_once() -> None:
    assert len(LIBRARY) >= 60
    for field in ("code", "name", "description"):
        assert max(Counter(getattr(exercise, field) for exercise in LIBRARY).values()) == 1


@each_exercise
def test_exercise_uses_known_words(exercise: LibraryExercise) -> None:
    assert re.fullmatch("[a-z_]+", exercise.code)
    assert exercise.pattern in PATTERNS
    assert exercise.equipment_kind in EQUIPMENT_KINDS
    assert exercise.rep_kind in REP_KINDS
    assert exercise.implements in (1, 2)
    assert exercise.limbs in ("one", "two")


@each_exercise
def test_description_is_one_or_two_full_sentences(exercise: LibraryExercise) -> None:
    assert exercise.description.endswith(".")
    assert 1 <= exercise.description.count(". ") + 1 <= 2
    assert 40 <= len(exercise.description) <= 220


@each_exercise
def test_muscles_are_known_and_never_both_direct_and_indirect(exercise: LibraryExercise) -> None:
    codes = [code for code, _ in exercise.muscles]
    assert exercise.direct
    assert set(codes) <= MUSCLE_CODES
    assert len(codes) == len(set(codes))
    assert {share for _, share in exercise.muscles} <= {1.0, 0.5}


@each_exercise
def test_substitutes_exist_and_train_one_of_its_direct_muscles(exercise: LibraryExercise) -> None:
    assert len(exercise.substitutes) >= 2
    assert len(set(exercise.substitutes)) == len(exercise.substitutes)
    assert exercise.code not in exercise.substitutes
    for code in exercise.substitutes:
        assert set(library_exercise(code).direct) & set(exercise.direct), code


@each_exercise
def test_some_substitute_needs_other_equipment(exercise: LibraryExercise) -> None:
    assert any(library_exercise(code).equipment_kind != exercise.equipment_kind for code in exercise.substitutes)


@pytest.mark.parametrize("muscle", sorted(MUSCLE_CODES))
def test_every_muscle_has_two_exercises_with_it_direct(muscle: str) -> None:
    assert sum(muscle in exercise.direct for exercise in LIBRARY) >= 2


def test_spotter_is_asked_for_where_a_bar_is_over_the_body_and_nowhere_else() -> None:
    """Barbell squats and lying presses, and a bar over the face (common practice, no source)."""
    flagged = {exercise.code for exercise in LIBRARY if exercise.spotter}
    under_a_bar = {
        exercise.code
        for exercise in LIBRARY
        if exercise.equipment_kind == "barbell" and exercise.pattern in ("squat", "horizontal_press")
    }
    assert flagged == under_a_bar | {"lying_triceps_extension"}
    assert {"back_squat", "bench_press"} <= flagged


def test_repetition_capacity_starts_from_the_kind_of_exercise() -> None:
    """Leg press 1.6, other multi-joint lower body 1.3, else 1.0 (Richens & Cleather 2014; trade)."""
    assert library_exercise("leg_press").endurance == 1.6
    assert library_exercise("back_squat").endurance == 1.3
    assert library_exercise("deadlift").endurance == 1.3
    assert library_exercise("leg_extension").endurance == 1.0
    assert library_exercise("bench_press").endurance == 1.0


def test_library_covers_full_gym_home_and_rehabilitation() -> None:
    """Every kind of equipment, every way to count a set, and one-sided work for the knee (trade)."""
    assert {exercise.equipment_kind for exercise in LIBRARY} == set(EQUIPMENT_KINDS)
    assert {exercise.rep_kind for exercise in LIBRARY} == set(REP_KINDS)
    assert {exercise.pattern for exercise in LIBRARY} == set(PATTERNS)
    one_sided_quads = [e for e in LIBRARY if e.limbs == "one" and "quads" in e.direct]
    assert len(one_sided_quads) >= 5
    home = {"dumbbell", "bodyweight", "band"}
    at_home = {muscle for e in LIBRARY if e.equipment_kind in home for muscle in e.direct}
    assert at_home == MUSCLE_CODES


def test_plain_anatomy_of_known_lifts() -> None:
    """What each of these trains most (common anatomy, no source)."""
    for code, muscle in (
        ("bench_press", "chest"), ("back_squat", "quads"), ("deadlift", "glutes"), ("pull_up", "lats"),
        ("lateral_raise", "side_delts"), ("lying_leg_curl", "hamstrings"), ("standing_calf_raise", "calves"),
        ("hip_adduction", "adductors"), ("barbell_curl", "biceps"), ("dip", "triceps"),
    ):  # fmt: skip
        assert muscle in library_exercise(code).direct


def test_entry_splits_lists_and_takes_endurance_from_the_pattern() -> None:
    made = entry("x", "X", "lunge", "dumbbell", "quads glutes", "", "a b", "Text.")
    assert (made.direct, made.indirect, made.substitutes) == (("quads", "glutes"), (), ("a", "b"))
    assert made.endurance == 1.3


def test_unknown_code_names_itself() -> None:
    with pytest.raises(KeyError, match="no library exercise 'flying_squat'"):
        library_exercise("flying_squat")


@pytest.mark.parametrize("code", EASIER)
def test_a_regression_chain_ends_and_keeps_the_kind_of_repetition_and_a_muscle(code: str) -> None:
    seen = [code]
    while seen[-1] in EASIER:
        seen.append(EASIER[seen[-1]])
        assert len(set(seen)) == len(seen)
    here, there = library_exercise(code), library_exercise(EASIER[code])
    assert here.rep_kind == there.rep_kind
    assert {name for name, _ in here.muscles} & {name for name, _ in there.muscles}


@pytest.mark.django_db
def test_loading_the_library_twice_links_each_exercise_to_the_easier_one() -> None:
    load_library()
    load_library()
    rows = {row.code: row for row in Exercise.objects.filter(practice=None).select_related("easier")}
    assert {code: row.easier.code for code, row in rows.items() if row.easier} == EASIER
