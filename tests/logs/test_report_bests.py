"""Holds and distances in the report of a block: the most of the block beside the most before, at equal loads only."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from programs.logs.mapping import done_otherwise
from programs.logs.report_pdf import report_values
from programs.logs.selectors import block_report
from programs.services import record_best
from tests.factories.logs import IssuedSheetFactory, exercise_body, logged, straight_sets
from tests.factories.programs import ExerciseFactory
from tests.factories.reports import START, four_weeks, sheet_step
from tests.programs.paper.reading import squeezed, words_of

TODAY = date(2026, 11, 24)
pytestmark = pytest.mark.django_db


@pytest.fixture
def block(desk):
    return four_weeks(desk, ExerciseFactory(name="Bench press"))


@pytest.fixture
def plank(desk):
    return ExerciseFactory(practice=desk.practice, name="Plank", equipment_kind="bodyweight", rep_kind="seconds")


@pytest.fixture
def carry(desk):
    return ExerciseFactory(practice=desk.practice, name="Farmer's carry", equipment_kind="dumbbell", rep_kind="metres")


def did(block, exercise, *amounts, week=1, load=None, side="b"):
    """So many sets of it in a week of the block, week 0 being the one before."""
    steps = straight_sets(
        len(amounts), load=load, setup="", rep_kind=exercise.rep_kind, rir=None, reps_low=30, reps_high=30, side=side
    )
    on = START + timedelta(days=7 * (week - 1) + 1)
    body = exercise_body(exercise, steps=steps, rep_kind=exercise.rep_kind)
    sheet = IssuedSheetFactory(client=block.program.client, for_on=on, exercises=[body])
    done = [
        done_otherwise(sheet_step(sheet.body, f"1-{n}-1-{side}"), load=load, reps=amount, rir=None)
        for n, amount in enumerate(amounts, start=1)
    ]
    return logged(sheet, steps=done)


def bests(block, today=TODAY):
    found = block_report(block, (1, block.weeks), today=today).bests
    return [(line.name, line.load, line.before, line.best, line.words) for line in found]


def test_the_longest_hold_stands_beside_the_longest_before(block, plank):
    did(block, plank, 45, 60, 50, week=0)
    did(block, plank, 60, 55, week=1)
    did(block, plank, 70, 75, week=3)
    assert bests(block) == [("Plank", "body weight", 60, 75, "15 s longer")]
    assert block_report(block, (1, 4), today=TODAY).in_short[-1] == (
        "Of 1 hold or distance done before too, 1 went beyond the best before."
    )


def test_distances_are_compared_at_equal_loads_only(block, carry):
    did(block, carry, 40, week=0, load=20_000)
    did(block, carry, 35, week=1, load=20_000)
    did(block, carry, 20, week=2, load=28_000)
    assert bests(block) == [
        ("Farmer's carry", "20 kg", 40, 35, "5 m less far"),
        ("Farmer's carry", "28 kg", None, 20, "first done in this block"),
    ]


def test_a_tested_best_counts_like_a_set(desk, block, plank):
    record_best(by=desk, client=block.program.client, exercise=plank, load=0, unit="kg", amount=90, on=START)
    did(block, plank, 60, week=0)
    did(block, plank, 60, week=2)
    assert bests(block) == [("Plank", "body weight", 60, 90, "30 s longer")]


def test_sides_stay_apart_and_what_was_done_only_before_is_left_out(block, plank, carry):
    did(block, plank, 30, week=1, side="l")
    did(block, plank, 40, week=1, side="r")
    did(block, carry, 40, week=0, load=20_000)
    assert [(name, best) for name, _, _, best, _ in bests(block)] == [("Plank, left", 30), ("Plank, right", 40)]


def test_what_comes_after_the_day_or_the_block_says_nothing_yet(block, plank):
    did(block, plank, 60, week=1)
    did(block, plank, 90, week=3)
    assert bests(block, today=START + timedelta(days=8))[0][3] == 60
    did(block, plank, 120, week=5)
    assert bests(block)[0][3] == 90


def test_gains_come_first_and_the_same_is_said_to_be(block, plank, carry):
    did(block, carry, 40, week=0, load=20_000)
    did(block, carry, 40, week=1, load=20_000)
    did(block, plank, 60, week=0)
    did(block, plank, 66, week=1)
    assert [(name, words) for name, _, _, _, words in bests(block)] == [
        ("Plank", "6 s longer"), ("Farmer's carry", "as before")
    ]  # fmt: skip


def test_a_block_without_any_shows_no_such_part(as_coach, block):
    page = as_coach.get(reverse("logs:block_report", args=[block.pk])).content.decode()
    assert "Holds and distances" not in page
    parts = report_values(block_report(block, (1, 4), today=TODAY))["parts"]
    assert "Holds and distances" not in [part["heading"] for part in parts]


def test_page_and_paper_say_the_same(as_coach, block, plank):
    did(block, plank, 60, week=0)
    did(block, plank, 75, week=1)
    page = as_coach.get(reverse("logs:block_report", args=[block.pk])).content.decode()
    paper = words_of(as_coach.get(reverse("logs:block_report_pdf", args=[block.pk])).content)
    for words in ("Holds and distances", "Plank", "body weight", "60 s", "75 s", "15 s longer"):
        assert words in page
        assert squeezed(words) in paper, words


def test_more_than_a_side_holds_are_counted(block, desk):
    for n in range(14):
        hold = ExerciseFactory(practice=desk.practice, name=f"Hold {n:02}", rep_kind="seconds")
        did(block, hold, 20 + n)
    found = block_report(block, (1, 4), today=TODAY)
    assert (len(found.shown_bests), found.more_bests) == (12, 2)
