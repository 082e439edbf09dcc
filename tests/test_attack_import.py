"""Attacks by CSV files: none keeps the desk busy for long, however its 5 MB are used."""

import time
from datetime import date
from typing import Any

import pytest

from clients.models import Client
from coachdesk.practice.models import Membership
from programs.intake.columns import MOST_BYTES, MOST_ROWS
from programs.intake.plan import MOST_HINTS, make_plan
from programs.intake.reading import NoTableError, read_table
from tests.factories.programs import ExerciseFactory

TODAY = date(2026, 11, 24)
HEADING = "name,exercise,load,reps\n"


def plan_of(rows: list[str], desk: Membership) -> Any:
    return make_plan(read_table(HEADING + "\n".join(rows)), by=desk, today=TODAY)


def seconds_for(count: int, desk: Membership) -> float:
    rows = [f"Ann,Back squat,{50 + n // 1000}.{n % 1000:03d},5" for n in range(count)]
    start = time.process_time()
    plan = plan_of(rows, desk)
    assert not plan.errors
    assert plan.lift_count == count
    return time.process_time() - start


def test_the_work_grows_with_the_lifts_of_one_person_and_not_with_their_square(desk: Membership) -> None:
    ExerciseFactory(name="Back squat")
    seconds_for(200, desk)
    # The better of three: one reading also measures what else the machine does.
    few, many = (min(seconds_for(count, desk) for _ in range(3)) for count in (1000, 10_000))
    # Ten times the rows: ten times the work, not a hundred times.
    assert many < 60 * few


def test_a_repeated_lift_is_still_found(desk: Membership) -> None:
    ExerciseFactory(name="Back squat")
    plan = plan_of(["Ann,Back squat,90,5", "Bo,Back squat,90,5", "Ann,Back squat,90.0,5"], desk)
    assert [(error.line, error.reason) for error in plan.errors] == [
        (4, "repeats line 2 exactly; take one of the two out")
    ]


def test_close_names_are_looked_for_only_as_often_as_they_are_shown(desk: Membership) -> None:
    ExerciseFactory(name="Back squat")
    plan = plan_of([f"Ann,Back sqaut {n},90,5" for n in range(MOST_HINTS + 50)], desk)
    hints = [error for error in plan.errors if "the closest are Back squat" in error.reason]
    assert (len(plan.errors), len(hints)) == (MOST_HINTS + 50, MOST_HINTS)


@pytest.mark.parametrize("cell", ["", " ", "x", "\u0301"])
def test_a_heading_of_millions_of_cells_is_refused_or_read_at_once(cell: str) -> None:
    text = "name" + f",{cell}" * (MOST_BYTES // (len(cell.encode()) + 1) - 8)
    start = time.process_time()
    with pytest.raises(NoTableError):
        read_table(text)
    # Reading the cells is all that grows with them: folding each took twenty times as long.
    assert time.process_time() - start < 5


def test_nothing_is_made_by_looking(desk: Membership) -> None:
    plan = plan_of([f"Person {n},,," for n in range(100)], desk)
    assert len(plan.new) == 100
    assert not Client.objects.exists()
    with pytest.raises(NoTableError, match="more than 20,000 rows"):
        read_table("name\n" + "A\n" * (MOST_ROWS + 1))
