"""A change between two estimates: what it is called, and whether simulated lifters bear out its doubt."""

import math
from datetime import timedelta
from random import Random

import pytest

from coachdesk.engine import EngineError, Strength, StrengthLog, prior_from_log, simulate, strength_change
from coachdesk.engine.simulate import CASES

LIFTERS, WEEKS = 90, 6


def estimate(mean, sd=0.04):
    return Strength(mean, mean * math.exp(-1.645 * sd), mean * math.exp(1.645 * sd), sd)


def test_no_change_is_even_odds_and_inside_the_doubt():
    found = strength_change(estimate(100), estimate(100))
    assert (found.ratio, found.chance, found.verdict) == (1.0, 0.5, "inside the doubt")
    assert found.low < 1 < found.high


@pytest.mark.parametrize(
    ("after", "verdict"),
    [(100.5, "inside the doubt"), (103, "probably up"), (106, "up"), (97, "probably down"), (94, "down")],
)
def test_a_change_is_called_by_its_chance(after, verdict):
    assert strength_change(estimate(100), estimate(after)).verdict == verdict


def test_up_and_down_are_mirror_images():
    up, down = strength_change(estimate(100), estimate(104)), strength_change(estimate(104), estimate(100))
    assert up.chance == pytest.approx(1 - down.chance)
    assert up.ratio == pytest.approx(1 / down.ratio)
    assert (up.low, up.high) == (pytest.approx(1 / down.high), pytest.approx(1 / down.low))


def test_more_doubt_makes_a_change_less_sure():
    sure, unsure = (strength_change(estimate(100, sd), estimate(105, sd)) for sd in (0.02, 0.08))
    assert sure.chance > unsure.chance > 0.5


def test_without_any_doubt_the_sign_decides():
    assert [strength_change(estimate(100, 0), estimate(kg, 0)).chance for kg in (99, 100, 101)] == [0, 0.5, 1]


@pytest.mark.parametrize("odd", [None, 100.0, "100", float("nan")])
def test_anything_but_estimates_is_refused(odd):
    with pytest.raises(EngineError):
        strength_change(odd, estimate(100))


def _changes(case, monkeypatch):
    """(change as told, true change of log 1RM) over the last six weeks of simulated lifters, who know their maximum."""
    does, made = simulate._Person.does, []
    for n in range(LIFTERS):
        truth = {}

        def remembered(self, on, reps, rir, left, truth=truth):
            truth[on] = self.x
            return does(self, on, reps, rir, left)

        monkeypatch.setattr(simulate._Person, "does", remembered)
        seen = simulate.simulate_lifter(Random(f"change:{case.name}:{n}"), case).observations
        start = max((o.on for o in seen if o.on <= seen[-1].on - timedelta(weeks=WEEKS)), default=None)
        if start not in truth or seen[-1].on not in truth:
            continue
        log, before = StrengthLog(prior=prior_from_log(seen)), None
        for one in seen:
            before = log.strength(start) if before is None and one.on > start else before
            log.add(one)
        after = log.strength(seen[-1].on)
        if before and after:
            made.append((strength_change(before, after), truth[seen[-1].on] - truth[start]))
    return made


# Held against lifters whose true maximum is known, as the estimates themselves are in test_strength_learning.py.
@pytest.mark.parametrize("name", ["model", "bias_more", "day", "gain"])
def test_nine_in_ten_true_changes_lie_in_the_interval(name, monkeypatch):
    told = _changes(next(case for case in CASES if case.name == name), monkeypatch)
    assert len(told) > 60
    held = sum(math.log(change.low) <= true <= math.log(change.high) for change, true in told) / len(told)
    assert held >= 0.85
    called = [(change.verdict, true > 0) for change, true in told if "up" in change.verdict]
    assert sum(true for _, true in called) >= 0.8 * len(called) > 0
