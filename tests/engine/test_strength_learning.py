"""Simulated lifters: how often the interval holds the truth, errors against the equations, what is learned."""

import math
from datetime import date, timedelta
from random import Random

import pytest

from coachdesk.engine import EngineError, Observation, estimate_strength
from coachdesk.engine.constants import value
from coachdesk.engine.coverage import coverage_table, covered, error_table, errors_of, estimates_of, lifters_of, main
from coachdesk.engine.learn import Bout, ExerciseSeen, honesty, learn_client, prior_from_log
from coachdesk.engine.learn_recovery import learn_recovery
from coachdesk.engine.simulate import CASES, Case, simulate_lifter, simulate_sessions

START = date(2026, 1, 5)
BY_NAME = {case.name: case for case in CASES}
# 150 lifters: two standard errors of a share of 0.9 are 0.05
SLACK = 0.05


@pytest.fixture(scope="module")
def obedient():
    lifters = lifters_of(BY_NAME["model"], 400, 1)
    return lifters, estimates_of(lifters)


def row_of(case, count):
    lifters = lifters_of(case, count, 1)
    return covered(case, lifters, estimates_of(lifters))


def test_ninety_percent_intervals_hold_the_truth_of_lifters_who_obey_the_model(obedient):
    row = covered(BY_NAME["model"], *obedient)
    assert row.lifters == 400
    assert 0.85 <= row.coverage <= 0.95
    assert row.half_width < 12


@pytest.mark.parametrize("name", [case.name for case in CASES if case.name != "model"])
def test_intervals_hold_of_lifters_who_do_not(name):
    row = row_of(BY_NAME[name], 150)
    assert row.coverage >= 0.85 - SLACK
    assert row.rms < 10


def test_the_filter_errs_less_than_every_published_equation(obedient):
    ours, *equations = errors_of(*obedient)
    assert len(equations) == 7
    assert all(ours.rms < 0.95 * other.rms for other in equations)


def test_simulated_lifters_are_the_same_for_the_same_seed():
    one, two = (simulate_lifter(Random("7"), CASES[0]) for _ in range(2))
    assert one == two
    assert simulate_lifter(Random("8"), CASES[0]) != one


def test_the_command_prints_both_tables(capsys):
    main(["--lifters", "3"])
    printed = capsys.readouterr().out
    assert all(case.words in printed for case in CASES)
    assert "wathan" in printed


def test_tables_say_what_misses(obedient):
    row = row_of(Case("narrow", "lie by 3", bias=3.0), 30)
    assert not row.holds
    assert "misses" in coverage_table([row])
    head, _, line = error_table({"a": errors_of(*obedient)}).split("\n")
    assert head.count("|") == line.count("|") == 10


def both_ends(rng, *, endurance, bias=0.0, weeks=12):
    """Singles-to-triples and long sets to failure, and typed sets between; one exercise, steady 1RM of 100 kg."""
    seen = []
    for n in range(2 * weeks):
        on = START + timedelta(days=3 * n)
        form = math.exp(rng.gauss(0, 0.015))
        for share, to_failure in ((0.93, False), (0.7, n % 2 == 0)):
            base = 3 if share == 0.93 else 11  # the handbook's reps at 93 and 70 %
            able = 1 + endurance * (base - 1) + rng.gauss(0, 0.08 * base)
            reps = max(1, round(able)) if to_failure else max(1, round(able) - 2)
            left = able - reps
            typed = 0 if to_failure else max(1, round(left - bias + rng.gauss(0, 0.5)))
            seen.append(Observation(on, 100 * share * form, min(reps, 60), typed, to_failure=to_failure))
    return tuple(seen)


def learned_of(seed, weeks, *, endurance=1.0, bias=0.0, exercises=1):
    rng = Random(f"{seed}")
    seen = [ExerciseSeen(n, both_ends(rng, endurance=endurance, bias=bias, weeks=weeks)) for n in range(exercises)]
    return learn_client(seen)


@pytest.mark.parametrize("endurance", [0.7, 1.0, 1.5, 2.0])
def test_capacity_converges_on_the_truth_from_the_default(endurance):
    def miss(weeks):
        found = [learned_of(seed, weeks, endurance=endurance).endurance for seed in range(8)]
        assert all(found)
        return math.sqrt(sum(math.log(one[0][1] / endurance) ** 2 for one in found) / len(found))

    assert miss(24) < 0.2
    assert miss(24) <= miss(3) + 0.03
    few = [learned_of(seed, 3, endurance=endurance).endurance[0] for seed in range(8)]
    many = [learned_of(seed, 24, endurance=endurance).endurance[0] for seed in range(8)]
    assert sum(sd for _, _, sd in many) < sum(sd for _, _, sd in few)


@pytest.mark.parametrize("bias", [-1.0, 0.0, 1.0])
def test_bias_of_typed_rir_is_learned_from_sets_planned_to_failure(bias):
    few = [learned_of(seed, 3, bias=bias) for seed in range(6)]
    many = [learned_of(seed, 20, bias=bias, exercises=3) for seed in range(6)]
    assert abs(sum(one.rir_bias for one in many) / 6 - bias) < 0.45
    assert sum(one.rir_bias_sd for one in many) < sum(one.rir_bias_sd for one in few)
    assert sum(abs(one.rir_bias - bias) for one in many) <= sum(abs(one.rir_bias - bias) for one in few) + 0.6


@pytest.mark.parametrize(("failed", "answered"), [(1, 30), (40, 2)])
def test_a_log_of_years_whose_answers_are_far_off_still_gives_a_belief(failed, answered):
    """Hundreds of pairs, each as far off as one may be: the mean of them must be a bias that a belief can hold."""
    seen = []
    for n in range(400):
        on = START + timedelta(days=n // 4)
        reps, rir = (failed, 0) if n % 4 == 3 else (answered, 2)
        seen.append(Observation(on, 80, reps, rir, to_failure=rir == 0))
    bias = learn_client([ExerciseSeen("a", tuple(seen))]).rir_bias
    assert 4.5 < abs(bias) <= 5
    assert estimate_strength(seen, seen[-1].on, prior=prior_from_log(seen, 1.0)) is not None


def test_nothing_to_learn_from_gives_the_defaults():
    found = learn_client([])
    assert (found.rir_bias, found.endurance, found.recovery, found.n) == (pytest.approx(0), (), 1.0, 0)
    typed = tuple(Observation(START + timedelta(n), 80, 8, 2) for n in range(20))
    assert learn_client([ExerciseSeen("a", typed)]).rir_bias == pytest.approx(0)


@pytest.mark.parametrize("pace", [0.5, 1.0, 2.0])
def test_recovery_converges_and_starts_from_the_default(pace):
    def of(count):
        found = [learn_recovery([(one, 1.0) for one in simulate_sessions(Random(s), pace, count)]) for s in range(8)]
        return [math.log(one.pace) for one in found], [one.sd for one in found]

    assert of(5) == ([0.0] * 8, [value("recovery_sd")] * 8)
    (few, few_sd), (many, many_sd) = of(10), of(60)
    assert sum(many_sd) < sum(few_sd)
    # fast recovery is told less surely: little is lost then that could come back sooner
    assert abs(sum(many) / 8 - math.log(pace)) < 0.35
    assert abs(sum(many) / 8 - math.log(pace)) <= abs(sum(few) / 8 - math.log(pace)) + 0.1


def test_recovery_orders_people():
    found = [
        learn_client([ExerciseSeen(1, (), 1.0, simulate_sessions(Random(3), pace, 40))]).recovery
        for pace in (0.5, 1.0, 1.5, 2.0)
    ]
    assert found == sorted(found)


def answers(*rirs, load=lambda n: 50 + n % 3):
    return [Observation(START + timedelta(n), load(n), 8, rir) for n, rir in enumerate(rirs)]


def test_the_same_answer_fifteen_times_over_varied_work_says_nothing():
    assert honesty(answers(*[2] * 14)).informative
    found = honesty(answers(1, 3, *[2] * 15))
    assert (found.informative, found.sets, found.answer) == (False, 15, 2)


def test_varied_answers_the_same_work_or_failure_are_no_sign_of_it():
    assert honesty(answers(*[2, 3] * 20)).informative
    assert honesty(answers(*[2] * 30, load=lambda n: 50)).informative
    assert honesty(answers(*[0] * 30)).informative
    assert honesty([]).informative


@pytest.mark.parametrize(
    "call",
    [
        lambda: ExerciseSeen(True, ()),
        lambda: ExerciseSeen("a", (1,)),
        lambda: ExerciseSeen("a", (), float("nan")),
        lambda: Bout(0, 5),
        lambda: Bout(50, 5, rest_s=-1),
        lambda: learn_client([1]),
        lambda: honesty("no"),
        lambda: honesty([], 1),
        lambda: simulate_lifter(Random(1), "model"),
    ],
)
def test_bad_input_is_refused(call):
    with pytest.raises(EngineError):
        call()


def test_learned_bias_moves_the_estimate():
    typed = answers(*[2] * 6)
    learned = learned_of(1, 20, bias=1.0, exercises=3)
    prior = learned.prior(ExerciseSeen("b", tuple(typed)))
    day = typed[-1].on
    assert estimate_strength(typed, day, prior=prior).mean_kg > 1.01 * estimate_strength(typed, day).mean_kg
