"""The columns against the objects: equal loads, counts and flags, reps and strength left within the tables' error."""

from dataclasses import replace
from functools import cache
from itertools import zip_longest

import numpy as np
import pytest

from coachdesk.engine import DEFAULT, MUSCLES, ClientTraits, EngineError, fatigue_on, half_life_hours, prescribe_weeks
from coachdesk.engine.columns import prescribe_columns
from coachdesk.engine.columns_of import roster_of
from coachdesk.engine.prescribe import rotations
from coachdesk.engine.summary import muscle_sessions
from tests.engine.cast import BENCH, SQUAT, effort, percent, plan, session
from tests.engine.roster_maker import Maker

CODES = [muscle.code for muscle in MUSCLES]
CLIENTS = {"handbook": 230, "epley": 30, "lombardi": 30}
CURVES = tuple(CLIENTS)
# of straight lines between grid points: the chart consists of such lines, the equations are bent
ERRORS = {"handbook": (1e-4, 1e-6), "epley": (1e-3, 1e-5), "lombardi": (1e-3, 1e-5)}


@cache
def both(curve):
    """(plans, prescribed objects, prescribed columns) of a random roster, with the chart over 2,000 sessions."""
    maker, rules = Maker(CURVES.index(curve)), replace(DEFAULT, curve=curve)
    plans = [(maker.sessions(3, maker.pick.randint(1, 5), 5), maker.client()) for _ in range(CLIENTS[curve])]
    objects = [prescribe_weeks(sessions, client, rules) for sessions, client in plans]
    return plans, objects, prescribe_columns(roster_of(plans, rules), rules)


def of_steps(plans, objects, *names):
    """Columns of the prescribed steps in the order in which they are done; None becomes NaN."""
    steps = []
    for (sessions, _), programme in zip(plans, objects, strict=True):
        for planned, one in zip(sorted(sessions, key=lambda session: session.day), programme.sessions, strict=True):
            for members in rotations(planned.exercises):
                turns = zip_longest(*(one.exercises[i].sets for i in members), fillvalue=())
                steps += [step for turn in turns for done in turn for step in done]
    return [np.array([getattr(step, name) for step in steps], float) for name in names]


def of_exercises(objects, read):
    return np.array([read(one) for programme in objects for s in programme.sessions for one in s.exercises], float)


def by_session(made, column):
    """A column of steps that were made, session by session, as the objects are."""
    return column.T[made.T]


def numbered(objects):
    """(number of the session in the columns, number of the client, prescribed session)."""
    pairs = [(c, one) for c, programme in enumerate(objects) for one in programme.sessions]
    return [(s, c, one) for s, (c, one) in enumerate(pairs)]


def flag_places(objects, code):
    return {(c, flag.where.muscle, week) for c, programme in enumerate(objects) for flag in programme.flags
            if flag.code == code for week in flag.weeks}  # fmt: skip


@pytest.mark.parametrize("curve", CURVES)
def test_loads_are_equal_and_reps_within_the_tables_error(curve):
    plans, objects, found = both(curve)
    done, (reps_error, strength_error) = found.done, ERRORS[curve]
    assert len(numbered(objects)) >= (2000 if curve == "handbook" else 200)
    names = ("load", "reps_low", "rir", "expected_reps", "rir_expected", "strength_before", "strength_after")
    load, low, rir, reps, expected, before, after = of_steps(plans, objects, *names)
    assert len(load) == done.made.sum()
    np.testing.assert_array_equal(by_session(done.made, done.load), load)
    np.testing.assert_array_equal(by_session(done.made, done.reps_low), low)
    for column, wanted, error in (
        (done.rir, rir, reps_error), (done.reps, reps, reps_error), (done.rir_expected, expected, reps_error),
        (done.before, before, strength_error), (done.after, after, strength_error),
    ):  # fmt: skip
        np.testing.assert_allclose(by_session(done.made, column), wanted, rtol=0, atol=error)


@pytest.mark.parametrize("curve", CURVES)
def test_each_planned_exercise_adds_up_to_the_same(curve):
    _, objects, found = both(curve)
    sums, there = found.sums, found.roster.rows.movement >= 0
    for column, read in (
        (sums.low, lambda e: e.hard_sets.low),
        (sums.usual, lambda e: e.hard_sets.default),
        (sums.high, lambda e: e.hard_sets.high),
        (sums.units, lambda e: e.impulse),
    ):
        np.testing.assert_allclose(column.T[there.T], of_exercises(objects, read), atol=1e-4)


@pytest.mark.parametrize("curve", CURVES)
def test_weeks_have_the_same_sets_and_kilograms(curve):
    _, objects, found = both(curve)
    wanted = {name: np.zeros_like(found.weeks.low) for name in ("low", "fractional", "high", "volume_load_kg")}
    for c, programme in enumerate(objects):
        for week in programme.weeks:
            for code, totals in week.muscles:
                for name, array in wanted.items():
                    array[c, week.week_no - 1, CODES.index(code)] = getattr(totals, name)
    columns = (found.weeks.low, found.weeks.usual, found.weeks.high, found.weeks.kg)
    for column, array in zip(columns, wanted.values(), strict=True):
        assert array.any()
        np.testing.assert_allclose(column, array, rtol=1e-5, atol=1e-6)


@pytest.mark.parametrize("curve", CURVES)
def test_band_flags_are_the_same(curve):
    _, objects, found = both(curve)
    for code, column in (("sets_above_band", found.flags.above_band), ("sets_below_band", found.flags.below_band)):
        wanted = flag_places(objects, code)
        assert len(wanted) > 5
        assert {(c, CODES[m], w + 1) for c, w, m in np.argwhere(column).tolist()} == wanted


@pytest.mark.parametrize("curve", CURVES)
def test_sessions_too_close_are_the_same(curve):
    _, objects, found = both(curve)
    wanted = {(c, week) for c, _, week in flag_places(objects, "sessions_too_close")}
    assert len(wanted) > 5
    visits = found.roster.visits
    close = np.flatnonzero(found.flags.too_close.any(axis=1))
    assert {(int(visits.client[s]), int(visits.day[s]) // 7 + 1) for s in close} == wanted


@pytest.mark.parametrize("curve", CURVES)
def test_load_and_screening_flags_are_the_same(curve):
    _, objects, found = both(curve)
    visits = found.roster.visits
    misses = {(c, one.week_no) for s, c, one in numbered(objects) if found.flags.not_makeable[:, s].any()}
    wanted = {(c, week) for c, _, week in flag_places(objects, "load_not_makeable")}
    assert len(wanted) > 5
    assert misses == wanted
    impossible = {(c, one.week_no) for s, c, one in numbered(objects) if found.flags.impossible[:, s].any()}
    wanted = {(c, week) for c, _, week in flag_places(objects, "target_impossible")}
    assert len(wanted) > 5
    assert impossible == wanted
    stops = np.flatnonzero(found.flags.screening)
    wanted = {(c, w) for code in ("screening_missing", "clearance_expired")
              for c, _, w in flag_places(objects, code)}  # fmt: skip
    assert len(wanted) > 5
    assert {(int(visits.client[s]), int(visits.day[s]) // 7 + 1) for s in stops} == wanted


def test_fatigue_left_is_what_the_impulses_of_earlier_sessions_leave():
    plans, objects, found = both("handbook")
    worst, every = 0.0, numbered(objects[:60])
    for c, (_, client) in enumerate(plans[:60]):
        mine = [(s, one) for s, owner, one in every if owner == c]
        for s, one in mine:
            earlier = [before for _, before in mine if before.day < one.day]
            for m, code in enumerate(CODES):
                left = fatigue_on(_impulses(earlier, code, client), 24.0 * one.day)
                assert found.fatigue.left[s, m] == pytest.approx(left, abs=1e-5)
                worst = max(worst, left)
    assert worst > 1


def _impulses(sessions, code, client):
    """Of each earlier session, all at the half-life of the kind of work that it held for the muscle."""
    parts = [(one.day, dict(muscle_sessions(one)).get(code)) for one in sessions]
    return [(24.0 * day, work.units, half_life_hours(client, work.failure_sets > 0)) for day, work in parts if work]


def test_one_session_alone_and_in_a_crowd_gives_the_same():
    # sessions of other shapes beside it make the columns ragged
    maker = Maker(11)
    mine = [session(plan(1, BENCH, percent("75", "failure")), plan(2, SQUAT, effort(4)), key="mine")]
    alone = prescribe_columns(roster_of([(mine, ClientTraits())])).done
    crowd = prescribe_columns(roster_of([(maker.sessions(2, 3, 5), ClientTraits()), (mine, ClientTraits())])).done
    n = alone.made.shape[0]
    assert alone.made.all()
    for name in ("load", "reps", "rir_expected", "before", "after"):
        np.testing.assert_array_equal(getattr(crowd, name)[:n, -1], getattr(alone, name)[:, 0])


def test_what_the_columns_cannot_do_is_refused():
    mine = [session(plan(1, BENCH, effort()))]
    heavy = replace(DEFAULT, warmup=((0.5, 8), (0.95, 1)))
    with pytest.raises(EngineError, match=r"share of a warm-up is 0\.95"):
        prescribe_columns(roster_of([(mine, ClientTraits())], heavy), heavy)
    with pytest.raises(EngineError, match="curve of the roster is 'handbook'"):
        prescribe_columns(roster_of([(mine, ClientTraits())]), replace(DEFAULT, curve="epley"))
    with pytest.raises(EngineError, match="plans is"):
        roster_of([])


def test_an_unknown_maximum_gives_no_load_but_costs_strength():
    made = prescribe_columns(roster_of([([session(plan(1, BENCH, effort(), None))], ClientTraits())])).done
    assert np.isnan(made.load).all()
    assert np.isnan(made.reps).all()
    assert made.after[0, 0] < 1
