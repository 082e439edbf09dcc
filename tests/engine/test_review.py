"""What to change next week: each proposal is raised, is not raised, and is gone once one of its ways out is applied.

All thresholds are common practice, no source; what is tested is that the proposals follow them.
"""

from dataclasses import replace

import pytest

from coachdesk.engine import EngineError, LoadRule, RepRule, Rules, Scheme, StepRule, set_count
from coachdesk.engine.review import LiftDone, MuscleDone, PlannedLift, Review, WeekDone, next_week

EFFORT = StepRule(LoadRule("effort"), RepRule("reps", 8, 8), 2.0)
WEEK = 5


def straight(sets=3, **fields):
    return Scheme("straight", sets, EFFORT, rest_s=120.0, **fields)


def lift(key, week=WEEK, exercise=1, name="Bench press", scheme=None, direct=("chest",)):
    return PlannedLift(key, week, exercise, name, scheme or straight(), direct)


def done(exercise=1, name="Bench press", chance=0.2, percent=-0.3, sets=30, weeks=8):
    return LiftDone(exercise, name, chance, percent, sets, weeks)


def review(**fields):
    """Two lifts planned this week, next week and the one after alike, everything done, nothing to say."""
    names = {1: "Bench press", 2: "Leg press"}
    given = {
        "week_no": WEEK, "now": tuple(lift(n, WEEK - 1, n, names[n]) for n in names),
        "coming": tuple(lift(10 + n, WEEK, n, names[n]) for n in names),
        "later": tuple(lift(20 + n, WEEK + 1, n, names[n]) for n in names),
        "weeks": (WeekDone(3, 3),) * 3, "test_day": 33,
    }  # fmt: skip
    return Review(**(given | fields))


def applied(before, remedy):
    """The review after a remedy, as the desk would read it anew."""
    schemes = {edit.key: edit.value for edit in remedy.edits if edit.field == "scheme"}
    tested = tuple(edit.key for edit in remedy.edits if edit.field == "test")
    gone = {edit.key for edit in remedy.edits if edit.field == "remove"}
    assert schemes or tested or gone
    coming = tuple(replace(one, scheme=schemes.get(one.key, one.scheme)) for one in before.coming)
    if gone:  # the session is out, and with it the lift that stands in it here
        coming = coming[1:]
    muscles = tuple(
        replace(one, coming=sum(set_count(row.scheme) for row in coming if one.code in row.direct))
        for one in before.muscles
    )
    return replace(before, coming=coming, muscles=muscles, tested=before.tested + tested)


def codes(found):
    return [flag.code for flag in found]


RAISED = {
    "stalled": review(lifts=(done(),)),
    "overreached": review(lifts=(done(chance=0.05), done(2, "Leg press", 0.02, -1.2))),
    "sessions_missed": review(weeks=(WeekDone(3, 1), WeekDone(3, 2), WeekDone(3, 1)), missed=((7, "Upper (Mon)", 2),)),
    "under_done": review(muscles=(MuscleDone("chest", 6, (4, 5, 5.5), 6, 6),)),
}


@pytest.mark.parametrize("code", RAISED)
def test_a_proposal_is_raised_with_its_numbers_and_ways_out(code):
    (flag,) = next_week(RAISED[code])
    assert flag.code == code
    assert flag.remedies
    assert flag.source == "common practice, no source"
    assert "{" not in flag.sentence
    assert flag.id == next_week(RAISED[code])[0].id


@pytest.mark.parametrize(
    ("code", "number"), [(code, n) for code in RAISED for n in range(len(next_week(RAISED[code])[0].remedies))]
)
def test_every_way_out_makes_it_go(code, number):
    (flag,) = next_week(RAISED[code])
    assert code not in codes(next_week(applied(RAISED[code], flag.remedies[number])))


def test_the_calm_week_proposes_nothing():
    assert next_week(review(lifts=(done(chance=0.8, percent=0.4), done(2, "Leg press", 0.5)))) == ()


@pytest.mark.parametrize(
    "calm",
    [
        review(lifts=(done(chance=0.31),)),
        review(lifts=(done(sets=3),)),
        review(lifts=(done(weeks=5),)),
        review(lifts=(done(exercise=3),)),
        review(lifts=(done(),), tested=(1,)),
        review(lifts=(done(),), coming=(lift(11, scheme=straight(4)),)),
        review(lifts=(done(),), coming=()),
    ],
    ids=["rises perhaps", "few sets", "new", "not planned", "test ahead", "changed already", "nothing planned"],
)
def test_no_stall(calm):
    assert next_week(calm) == ()


def test_one_falling_lift_is_a_stall_and_two_are_too_much():
    one = next_week(review(lifts=(done(chance=0.05),)))
    assert codes(one) == ["stalled"]
    both = next_week(RAISED["overreached"])
    assert (codes(both), both[0].severity) == (["overreached"], "check")
    assert "Leg press (-1.2 % a week)" in both[0].sentence


def test_a_week_that_is_lighter_already_answers_falling_strength_and_missed_sessions():
    for code in ("overreached", "sessions_missed"):
        lighter = tuple(replace(one, scheme=straight(2)) for one in RAISED[code].coming)
        assert code not in codes(next_week(replace(RAISED[code], coming=lighter)))


@pytest.mark.parametrize(
    "weeks",
    [(WeekDone(3, 2), WeekDone(3, 2), WeekDone(3, 3)), (WeekDone(3, 0), WeekDone(3, 0)), ()],
    ids=["seven of nine", "two weeks only", "nothing due"],
)
def test_no_sessions_missed(weeks):
    assert next_week(review(weeks=weeks)) == ()


@pytest.mark.parametrize(
    "one",
    [
        MuscleDone("chest", 6, (4, 6, 5), 6, 6),
        MuscleDone("chest", 6, (4, 5), 6, 6),
        MuscleDone("chest", 6, (4, 5, 5), 6, 7),
        MuscleDone("calves", 6, (4, 5, 5), 6, 6),
    ],
    ids=["one week inside", "two weeks only", "more planned already", "nothing trains it"],
)
def test_not_under_done(one):
    assert next_week(review(muscles=(one,))) == ()


def test_more_work_is_never_proposed_where_strength_falls_or_sessions_are_missed():
    for code in ("overreached", "sessions_missed"):
        assert codes(next_week(replace(RAISED[code], muscles=RAISED["under_done"].muscles))) == [code]


def test_what_each_way_out_of_a_stall_writes():
    (flag,) = next_week(RAISED["stalled"])
    rest, more, fewer, test = flag.remedies
    # Next week's and all later ones of that exercise, no other.
    assert [edit.key for edit in rest.edits] == [11, 21]
    assert {edit.value.rest_s for edit in rest.edits} == {180}
    assert {edit.value.sets for edit in more.edits} == {4}
    assert {edit.value.step.reps.high for edit in fewer.edits} == {5}
    assert [(e.target, e.key, e.field, e.value) for e in test.edits] == [("date", 1, "test", 33)]


def test_ways_out_that_cannot_be_are_not_offered():
    fixed = replace(straight(), step=replace(EFFORT, load=LoadRule("fixed", 80_000, "kg"), reps=RepRule("reps", 5, 5)))
    long = replace(fixed, rest_s=300.0)
    same = {"now": (lift(1, scheme=long),), "coming": (lift(11, scheme=long),), "later": (), "test_day": None}
    (flag,) = next_week(review(lifts=(done(),), **same))
    assert [one.label for one in flag.remedies] == ["Add one set to Bench press, from week 5 on"]
    single = {"now": (lift(1, scheme=straight(1)),), "coming": (lift(11, scheme=straight(1)),)}
    # One set of each cannot be made lighter by taking sets off.
    assert next_week(replace(RAISED["overreached"], **single, lifts=RAISED["overreached"].lifts)) != ()


def test_house_rules_move_what_counts_as_falling_and_not_rising():
    strict = Rules(need_stalled_chance=0.9, need_falling_chance=0.9)
    assert codes(next_week(review(lifts=(done(chance=0.8), done(2, "Leg press", 0.8))), strict)) == ["overreached"]
    lax = Rules(need_stalled_chance=0.0, need_falling_chance=0.0)
    assert next_week(RAISED["overreached"], lax) == ()


@pytest.mark.parametrize(
    "wrong",
    [
        {"week_no": 0}, {"now": ("lift",)}, {"lifts": (done(chance=1.2),)}, {"lifts": (done(chance=float("nan")),)},
        {"weeks": (WeekDone(2, 3),)}, {"muscles": (MuscleDone("wing", 6, (), 6, 6),)}, {"weeks": None},
    ],
)  # fmt: skip
def test_bad_input_is_refused(wrong):
    with pytest.raises(EngineError):
        review(**wrong)
    with pytest.raises(EngineError):
        next_week("review")
