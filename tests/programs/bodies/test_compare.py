"""What is different between two programmes, in words: one test a kind of change, and weeks told together."""

from dataclasses import replace
from typing import Any

import pytest

from programs.bodies import Body, differences, weeks_words
from tests.factories.programs import scheme_json
from tests.programs.bodies.maker import (
    body,
    exercise,
    plus_exercise,
    plus_session,
    session,
    with_exercise,
    with_session,
    without_exercise,
    without_session,
)

STRAIGHT = "3 x 8 @ 75 %, rest 2 min"
HEAVIER = scheme_json(sets="5", reps="6-8", load_value="77.5")
BASE = body()
BLOCKS = ({"name": "Base", "first_week": 1, "weeks": 1}, {"name": "Peak", "first_week": 2, "weeks": 3})
CHANGES: dict[str, tuple[Body, list[str]]] = {
    "sets and load": (
        with_exercise(BASE, "s10e1", scheme=HEAVIER),
        [f"Week 1, Mon Upper A: Bench press {STRAIGHT} -> 5 x 6-8 @ 77.5 %, rest 2 min"],
    ),
    "exercise added": (
        plus_exercise(BASE, exercise("new", "s23", 4, 9)),
        [f"Week 2, Thu Upper B: Dumbbell press added: {STRAIGHT}"],
    ),
    "exercise taken out": (without_exercise(BASE, "s23e3"), ["Week 2, Thu Upper B: Face pull taken out"]),
    "swapped": (
        with_exercise(BASE, "s10e1", exercise_id=4),
        [f"Week 1, Mon Upper A: Bench press {STRAIGHT} -> Dumbbell press {STRAIGHT}"],
    ),
    "moved to another session": (
        with_exercise(BASE, "s10e3", home="s13", position=9),
        ["Week 1, Thu Upper B: Face pull, session Mon Upper A -> Thu Upper B"],
    ),
    "moved to another week": (
        with_exercise(BASE, "s10e3", home="s20", position=9),
        ["Week 2, Mon Upper A: Face pull, session week 1, Mon Upper A -> week 2, Mon Upper A"],
    ),
    "superset": (
        with_exercise(BASE, "s10e1", group="A"),
        ["Week 1, Mon Upper A: Bench press, superset on its own -> superset A"],
    ),
    "cue": (
        with_exercise(BASE, "s10e1", cue="Elbows in"),
        ["Week 1, Mon Upper A: Bench press, cue nothing -> Elbows in"],
    ),
    "private note": (
        with_exercise(BASE, "s10e1", private_note="Left shoulder"),
        ["Week 1, Mon Upper A: Bench press, private note nothing -> Left shoulder"],
    ),
    "order": (
        with_exercise(BASE, "s10e1", position=9),
        ["Week 1, Mon Upper A: order Bench press, Row, Face pull -> Row, Face pull, Bench press"],
    ),
    "session added": (
        plus_exercise(plus_session(BASE, session("n", 1, 5, "Arms")), exercise("ne", "n", 2, 1)),
        [f"Week 1, Sat Arms: session added: Row {STRAIGHT}"],
    ),
    "session taken out": (without_session(BASE, "s10"), ["Week 1, Mon Upper A: session taken out"]),
    "session on another day": (with_session(BASE, "s10", day=1), ["Week 1, Tue Upper A: day Mon -> Tue"]),
    "session in another week": (
        with_session(BASE, "s10", week_no=2, day=5),
        ["Week 2, Sat Upper A: day week 1, Mon -> week 2, Sat"],
    ),
    "session renamed": (with_session(BASE, "s10", name="Push"), ["Week 1, Mon Push: name Upper A -> Push"]),
    "place": (
        with_session(BASE, "s10", place_id=7),
        ["Week 1, Mon Upper A: place the client's own -> Hotel"],
    ),
    "note on the sheet": (
        with_session(BASE, "s10", note="Be early"),
        ["Week 1, Mon Upper A: note on the sheet nothing -> Be early"],
    ),
    "blocks": (
        replace(BASE, blocks=BLOCKS),
        ["The whole programme: blocks Base, weeks 1 and 2 -> Base, week 1; Peak, weeks 2 to 4"],
    ),
    "name": (replace(BASE, name="Base 2"), ["The whole programme: name Base -> Base 2"]),
}  # fmt: skip


@pytest.mark.parametrize("kind", CHANGES)
def test_each_kind_of_change_is_told_in_words(kind: str) -> None:
    after, words = CHANGES[kind]
    assert [one.words for one in differences(BASE, after)] == words


@pytest.mark.parametrize("kind", CHANGES)
def test_the_way_back_is_told_too(kind: str) -> None:
    assert len(differences(CHANGES[kind][0], BASE)) == 1


def test_nothing_differs_from_itself_and_numbering_is_no_order() -> None:
    assert differences(BASE, body()) == []
    renumbered = with_exercise(with_exercise(BASE, "s10e3", position=30), "s10e2", position=20)
    assert differences(BASE, renumbered) == []


def test_the_same_change_in_several_weeks_is_told_once() -> None:
    after: Any = BASE
    for week in (1, 2):
        after = with_exercise(after, f"s{week}0e1", scheme=HEAVIER)
    (one,) = differences(BASE, after)
    assert one.weeks == (1, 2)
    assert one.place_words == "Weeks 1 and 2, Mon Upper A"


@pytest.mark.parametrize(
    ("weeks", "words"),
    [([3], "Week 3"), ([3, 4], "Weeks 3 and 4"), ([6, 3, 4, 5], "Weeks 3 to 6"), ([], ""),
     ([1, 3, 4, 5, 8], "Weeks 1, 3 to 5 and 8"), ([5, 6, 7], "Weeks 5 to 7")],
)  # fmt: skip
def test_weeks_in_words(weeks: list[int], words: str) -> None:
    assert weeks_words(weeks) == words
