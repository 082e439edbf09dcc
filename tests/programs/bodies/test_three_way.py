"""Three-way merge: what only one side changed is kept, what both changed is listed, whatever the edits."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from programs.bodies import Body, differences, merge_bodies
from programs.bodies.three_way import merged_scheme
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

BASE = body()
Edit = Callable[[Body], Body]
COLUMNS: dict[str, list[Any]] = {
    "cue": ["", "Slow", "Pause"], "group": ["", "A", "B"], "private_note": ["", "Watch"], "exercise_id": [1, 2, 3, 4],
    "scheme": [scheme_json(), scheme_json(sets="5"), scheme_json(rest="90"),
               scheme_json(kind="drop_set", load_value="80", reps="failure", ladder="80/65")],
}  # fmt: skip
HERE, THERE = ["s10", "s23"], ["s13", "s20"]


def _row(uid: str, column: str, value: Any) -> Edit:
    return lambda b: with_exercise(b, uid, **{column: value}) if uid in b.exercises else b


def _session(uid: str, **values: Any) -> Edit:
    return lambda b: with_session(b, uid, **values) if uid in b.sessions else b


def _move(uid: str, home: str) -> Edit:
    return lambda b: with_exercise(b, uid, home=home) if uid in b.exercises and home in b.sessions else b


def _new(side: str, n: int, home: str, which: int) -> Edit:
    return lambda b: plus_exercise(b, exercise(f"{side}{n}", home, which, 10 + n)) if home in b.sessions else b


@st.composite
def edits(draw: Any, side: str, sessions: list[str], *, moves: bool = True) -> list[Edit]:
    """Up to eight edits of rows, sessions and what is in them, inside these sessions."""
    rows = [uid for uid in BASE.exercises if uid[:3] in sessions]
    made: list[Edit] = []
    for n in range(draw(st.integers(0, 8))):
        kind, uid, home = draw(st.integers(0, 9)), draw(st.sampled_from(rows)), draw(st.sampled_from(sessions))
        if kind <= 3:
            column = draw(st.sampled_from(sorted(COLUMNS)))
            made.append(_row(uid, column, draw(st.sampled_from(COLUMNS[column]))))
        elif kind == 4:
            made.append(lambda b, uid=uid: without_exercise(b, uid))
        elif kind == 5:
            made.append(_new(side, n, home, draw(st.integers(1, 4))))
        elif kind == 6:
            made.append(_session(home, day=draw(st.integers(0, 6)), note=draw(st.sampled_from(["", "Early", "Late"]))))
        elif kind == 7:
            made.append(lambda b, home=home: without_session(b, home))
        elif kind == 8:
            one = session(f"{side}s{n}", draw(st.integers(1, 2)), draw(st.integers(0, 6)), "Extra")
            made.append(lambda b, one=one, n=n, side=side: plus_exercise(
                plus_session(b, one), exercise(f"{side}x{n}", one.uid, 2, 1)))  # fmt: skip
        elif moves:
            made.append(_move(uid, home))
    return made


def applied(to: Body, changes: list[Edit]) -> Body:
    for change in changes:
        to = change(to)
    return to


def alike(one: Body, other: Body) -> bool:
    return differences(one, other) == []


EVERYWHERE = [*HERE, *THERE]


@given(edits("m", HERE), edits("t", THERE))
def test_edits_in_different_sessions_are_all_kept(mine: list[Edit], theirs: list[Edit]) -> None:
    copy, version = applied(BASE, mine), applied(BASE, theirs)
    merged = merge_bodies(BASE, copy, version)
    assert merged.clashes == ()
    assert alike(merged.body, applied(copy, theirs))


@given(edits("m", EVERYWHERE))
def test_one_side_alone_is_taken_as_it_is(changes: list[Edit]) -> None:
    made = applied(BASE, changes)
    for copy, version in ((made, BASE), (BASE, made), (made, made)):
        merged = merge_bodies(BASE, copy, version)
        assert merged.clashes == ()
        assert alike(merged.body, made)


@given(edits("m", EVERYWHERE), edits("t", EVERYWHERE), st.booleans())
def test_every_column_follows_who_changed_it_and_clashes_are_listed(
    mine: list[Edit], theirs: list[Edit], take_theirs: bool
) -> None:
    copy, version = applied(BASE, mine), applied(BASE, theirs)
    found = merge_bodies(BASE, copy, version)
    choices = {clash.key: "theirs" if take_theirs else "mine" for clash in found.clashes}
    merged = merge_bodies(BASE, copy, version, choices=choices)
    keys = {clash.key for clash in merged.clashes}
    for uid in set(BASE.exercises) & set(copy.exercises) & set(version.exercises) & set(merged.body.exercises):
        was, here, there, now = (b.exercises[uid].values for b in (BASE, copy, version, merged.body))
        for column in ("cue", "group", "private_note", "exercise_id"):
            key = f"exercise:{uid}:{column}"
            both = here[column] != was[column] and there[column] not in (was[column], here[column])
            assert (key in keys) == both
            if both:
                assert now[column] == (there if take_theirs else here)[column]
            else:
                assert now[column] == (there if here[column] == was[column] else here)[column]


@given(edits("m", EVERYWHERE), edits("t", EVERYWHERE))
def test_nothing_of_the_coach_is_lost_unless_theirs_is_chosen(mine: list[Edit], theirs: list[Edit]) -> None:
    copy, version = applied(BASE, mine), applied(BASE, theirs)
    merged = merge_bodies(BASE, copy, version).body
    for uid, session_ in copy.sessions.items():
        if uid not in BASE.sessions or session_.values != BASE.sessions[uid].values:
            assert uid in merged.sessions
    for uid, one in copy.exercises.items():
        if uid not in BASE.exercises or one.values != BASE.exercises[uid].values:
            assert uid in merged.exercises
    assert {one.session for one in merged.exercises.values()} <= set(merged.sessions)
    assert all(one.when[0] <= merged.weeks for one in merged.sessions.values())


@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_a_row_taken_out_by_one_and_changed_by_the_other_is_a_clash(choice: str) -> None:
    changed, gone = with_exercise(BASE, "s10e1", cue="Slow"), without_exercise(BASE, "s10e1")
    kept = merge_bodies(BASE, changed, gone, choices={"exercise:s10e1:gone": choice})
    assert [(c.key, c.mine, c.theirs) for c in kept.clashes] == [
        ("exercise:s10e1:gone", "Bench press 3 x 8 @ 75 %, rest 2 min", "taken out")
    ]
    assert ("s10e1" in kept.body.exercises) == (choice == "mine")
    back = merge_bodies(BASE, gone, changed, choices={"exercise:s10e1:back": choice})
    assert [c.key for c in back.clashes] == ["exercise:s10e1:back"]
    assert ("s10e1" in back.body.exercises) == (choice == "theirs")


@pytest.mark.parametrize("choice", ["mine", "theirs"])
def test_a_session_taken_out_by_one_and_changed_inside_by_the_other_is_one_clash(choice: str) -> None:
    changed, gone = with_exercise(BASE, "s10e1", cue="Slow"), without_session(BASE, "s10")
    kept = merge_bodies(BASE, changed, gone, choices={"session:s10:gone": choice})
    assert [c.key for c in kept.clashes] == ["session:s10:gone"]
    assert alike(kept.body, changed if choice == "mine" else gone)
    back = merge_bodies(BASE, gone, changed, choices={"session:s10:back": choice})
    assert [c.key for c in back.clashes] == ["session:s10:back"]
    assert alike(back.body, gone if choice == "mine" else changed)


def test_a_scheme_changed_in_different_fields_keeps_both() -> None:
    was, mine, theirs = scheme_json(), scheme_json(rest="90"), scheme_json(load_value="80", sets="4")
    assert merged_scheme(was, mine, theirs) == scheme_json(rest="90", load_value="80", sets="4")
    assert merged_scheme(was, scheme_json(sets="5"), theirs) is None
    merged = merge_bodies(BASE, with_exercise(BASE, "s10e1", scheme=scheme_json(sets="5")),
                          with_exercise(BASE, "s10e1", scheme=theirs))  # fmt: skip
    assert [(c.base, c.mine, c.theirs) for c in merged.clashes] == [
        ("3 x 8 @ 75 %, rest 2 min", "5 x 8 @ 75 %, rest 2 min", "4 x 8 @ 80 %, rest 2 min")
    ]


def test_what_is_past_stays_as_the_copy_has_it() -> None:
    version = with_exercise(with_exercise(BASE, "s10e1", cue="Slow"), "s20e1", cue="Slow")
    merged = merge_bodies(BASE, BASE, without_session(version, "s13"), frozen=lambda week, _day: week == 1)
    assert [one.words for one in differences(BASE, merged.body)] == [
        "Week 2, Mon Upper A: Bench press, cue nothing -> Slow"
    ]


def test_both_orders_changed_is_a_clash_and_an_addition_takes_its_place() -> None:
    mine = with_exercise(BASE, "s10e1", position=9)
    theirs = with_exercise(BASE, "s10e3", position=0)
    merged = merge_bodies(BASE, mine, theirs)
    assert [(c.key, c.base) for c in merged.clashes] == [("session:s10:order", "Bench press, Row, Face pull")]
    added = plus_exercise(BASE, exercise("n", "s10", 4, 2))
    rows = merge_bodies(BASE, mine, added).body.inside("s10")
    assert [one.uid for one in rows] == ["s10e2", "s10e3", "s10e1", "n"]


def test_blocks_both_changed_are_a_clash_and_a_kept_session_keeps_its_week() -> None:
    longer = replace(BASE, blocks=({"name": "Base", "first_week": 1, "weeks": 4},))
    named = replace(BASE, blocks=({"name": "Start", "first_week": 1, "weeks": 2},))
    assert [c.key for c in merge_bodies(BASE, longer, named).clashes] == ["blocks"]
    shorter = without_session(without_session(BASE, "s20"), "s23")
    shorter = replace(shorter, blocks=({"name": "Base", "first_week": 1, "weeks": 1},))
    own = plus_session(BASE, session("own", 2, 5, "Extra"))
    merged = merge_bodies(BASE, own, shorter).body
    assert (sorted(merged.sessions), merged.weeks) == (["own", "s10", "s13"], 2)
