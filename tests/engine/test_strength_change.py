"""A change between two days of a log: what it is called, and whether simulated lifters bear out its doubt."""

import math
from datetime import date, timedelta
from random import Random

import pytest

from coachdesk.engine import EngineError, Observation, StrengthLog, prior_from_log, simulate, strength_change
from coachdesk.engine.simulate import CASES

LIFTERS, WEEKS = 90, {"last": 6, "first": 8}
MONDAY = date(2026, 9, 7)


def test_no_change_is_even_odds_and_inside_the_doubt():
    found = strength_change(0, 0.03)
    assert (found.ratio, found.chance, found.verdict) == (1.0, 0.5, "inside the doubt")
    assert found.low < 1 < found.high


@pytest.mark.parametrize(
    ("gap", "verdict"),
    [(0.005, "inside the doubt"), (0.03, "probably up"), (0.06, "up"), (-0.03, "probably down"), (-0.06, "down")],
)
def test_a_change_is_called_by_its_chance(gap, verdict):
    assert strength_change(gap, 0.02).verdict == verdict


def test_up_and_down_are_mirror_images():
    up, down = strength_change(0.04, 0.03), strength_change(-0.04, 0.03)
    assert up.chance == pytest.approx(1 - down.chance)
    assert up.ratio == pytest.approx(1 / down.ratio)
    assert (up.low, up.high) == (pytest.approx(1 / down.high), pytest.approx(1 / down.low))


def test_more_doubt_makes_a_change_less_sure():
    sure, unsure = (strength_change(0.05, sd) for sd in (0.02, 0.08))
    assert sure.chance > unsure.chance > 0.5


def test_without_any_doubt_the_sign_decides():
    assert [strength_change(gap, 0).chance for gap in (-0.01, 0, 0.01)] == [0, 0.5, 1]


@pytest.mark.parametrize("odd", [None, "0.1", float("nan"), float("inf"), 21, -21])
def test_anything_but_numbers_is_refused(odd):
    with pytest.raises(EngineError):
        strength_change(odd, 0.1)
    with pytest.raises(EngineError):
        strength_change(0.1, odd if odd != 21 else -0.1)


def test_a_log_without_a_mark_tells_of_no_change():
    log = StrengthLog()
    assert log.mark() is False
    log.add(Observation(MONDAY, 80, 8, 2))
    assert log.change() is None


def test_a_mark_leaves_every_estimate_as_it_was():
    plain, marked = StrengthLog(), StrengthLog()
    for n in range(12):
        one = Observation(MONDAY + timedelta(days=3 * n), 80 + n, 8, None if n % 3 else 2, lower_bound=bool(n % 3))
        plain.add(one)
        marked.add(one)
        assert plain.strength(one.on) == marked.strength(one.on)
        assert marked.mark()


def test_a_change_up_to_the_day_that_was_marked_is_none_at_all():
    log = StrengthLog()
    log.add(Observation(MONDAY, 80, 8, 2))
    log.mark()
    before, change = log.change()
    assert before == log.strength(MONDAY)
    assert (change.ratio, change.chance) == (1.0, 0.5)


def test_a_first_estimate_that_later_sets_correct_is_no_loss():
    """Too heavy a first set, then lighter ones by the same answer, then sets as written that prove little."""
    log = StrengthLog()
    log.add(Observation(MONDAY, 6, 11, 2))
    log.add(Observation(MONDAY, 4, 12, 2, strength_before=0.94))
    log.mark()
    first = log.strength(MONDAY)
    for _ in range(2):
        log.add(Observation(MONDAY + timedelta(weeks=1), 4, 12, 2))
    for week in range(2, 12):
        log.add(Observation(MONDAY + timedelta(weeks=week), 4, 8, lower_bound=True))
    last = log.strength(MONDAY + timedelta(weeks=11))
    before, change = log.change()
    assert last.mean_kg < 0.9 * first.mean_kg
    assert before.mean_kg < 0.93 * first.mean_kg
    assert before.sd_log < first.sd_log
    assert change.verdict == "inside the doubt"


def _days(seen, span):
    """(the sets, the day to compare with): of a long log its last weeks, or the first weeks of it from day one."""
    if span == "first":
        return [one for one in seen if one.on <= seen[0].on + timedelta(weeks=WEEKS[span])], seen[0].on
    return seen, max((o.on for o in seen if o.on <= seen[-1].on - timedelta(weeks=WEEKS[span])), default=None)


def _changes(case, span, monkeypatch):
    """(change as told, true change of log 1RM) of simulated lifters, who know their maximum."""
    does, made = simulate._Person.does, []
    for n in range(LIFTERS):
        truth = {}

        def remembered(self, on, reps, rir, left, truth=truth):
            truth[on] = self.x
            return does(self, on, reps, rir, left)

        monkeypatch.setattr(simulate._Person, "does", remembered)
        seen, start = _days(simulate.simulate_lifter(Random(f"change:{case.name}:{n}"), case).observations, span)
        if start not in truth or seen[-1].on not in truth:
            continue
        log, marked, day = StrengthLog(prior=prior_from_log(seen)), None, start
        for one in seen:
            if one.on > start and marked is None and log.mark():
                marked = day
            log.add(one)
            day = one.on
        if marked:
            made.append((log.change()[1], truth[seen[-1].on] - truth[marked]))
    return made


# Held against lifters whose true maximum is known, as the estimates themselves are in test_strength_learning.py.
@pytest.mark.parametrize("span", ["last", "first"])
@pytest.mark.parametrize("name", ["model", "bias_more", "day", "gain", "as_written"])
def test_nine_in_ten_true_changes_lie_in_the_interval_and_few_gains_are_called_a_loss(name, span, monkeypatch):
    told = _changes(next(case for case in CASES if case.name == name), span, monkeypatch)
    assert len(told) > 60
    held = sum(math.log(change.low) <= true <= math.log(change.high) for change, true in told) / len(told)
    assert held >= 0.87
    called = [(change.verdict, true > 0) for change, true in told if "up" in change.verdict]
    assert sum(true for _, true in called) >= 0.8 * len(called) > 0
    # 'probably' leaves one chance in five, 'almost certainly' one in twenty.
    gained = [change for change, true in told if true > 0]
    assert sum("down" in change.verdict for change in gained) <= 0.2 * len(gained)
    assert sum(change.verdict == "down" for change in gained) <= 0.05 * len(gained)
