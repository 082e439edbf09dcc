"""What sets count for, and weekly totals."""

import pytest

from coachdesk.engine import ClientTraits, SessionPlan, prescribe_session, prescribe_weeks, week_sets
from tests.engine import facts
from tests.engine.cast import BENCH, CURL, DUMBBELLS, PULLDOWN, SQUAT, STACK, effort, percent, plan, scheme, session

TRAINED = ClientTraits()


def counts(made, **kwargs):
    found = prescribe_session(session(plan(1, PULLDOWN, made, kwargs.get("kg", 100), STACK)), TRAINED)
    one = found.exercises[0].hard_sets
    return (one.low, one.default, one.high)


def test_indirect_sets_count_by_the_published_weight():
    # Pelland 2025: direct 1, indirect 0.5
    weights = {row["measure"]: float(row["value"]) for row in facts.of("volume_dose_response", outcome="counting")}
    week = dict(week_sets([prescribe_session(session(plan(1, BENCH, effort(4))), TRAINED)]))
    assert week["chest"].fractional == 4 * weights["direct set weight"]
    assert week["triceps"].fractional == 4 * weights["indirect set weight (fractional)"]
    assert (week["triceps"].direct, week["triceps"].indirect) == (0, 4)


def test_only_sets_within_three_in_reserve_are_hard():
    assert counts(effort(3, "8", "3")) == (3, 3, 3)
    assert counts(effort(3, "8", "4")) == (0, 0, 0)


@pytest.mark.parametrize(
    ("ladder", "count"), [("80/65", (1, 1.5, 2)), ("80/65/50", (1, 2, 3)), ("80/65/50/40/30", (1, 3, 5))]
)
def test_drops_add_half_a_set_each_up_to_three(ladder, count):
    # house rule on Coleman 2022 and Sodal 2023: low 1 a drop set, high 1 a bout
    assert counts(scheme("drop_set", "1", ladder=ladder)) == count


def test_drops_of_a_fixed_number_of_reps_count_by_the_reserve_predicted_in_the_set():
    # 8 fresh reps at 50 % would leave many; after 8 at 80 % and 6 at 65 % few are left
    assert counts(scheme("drop_set", "1", ladder="80% x 8 / 65% x 6 / 50% x 8")) == (1, 2, 3)


def test_a_drop_of_few_reps_adds_nothing():
    assert counts(scheme("drop_set", "1", load_kind="percent", load_value="80", reps="failure", ladder="-5% x 2")) == (
        1,
        1,
        1,
    )


def test_a_set_of_unknown_effort_lies_between_none_and_one():
    found = prescribe_session(
        session(plan(1, BENCH, scheme(sets="2", load_kind="fixed", load_value="60 kg", reps="8"), None)), TRAINED
    )
    one = found.exercises[0].hard_sets
    assert (one.low, one.default, one.high) == (0, 2, 2)


def test_volume_load_counts_both_dumbbells():
    found = prescribe_session(
        session(plan(1, CURL, scheme(sets="3", load_kind="fixed", load_value="10 kg", reps="8"), 30, DUMBBELLS)),
        TRAINED,
    )
    week = dict(week_sets([found]))
    assert week["biceps"].volume_load_kg == pytest.approx(3 * 8 * 10 * 2)


def test_week_totals_are_the_sum_of_their_sessions():
    plans = [
        SessionPlan(f"s{day}", day, "A", (plan(f"e{day}", SQUAT, percent("75", "8")), plan(f"f{day}", BENCH, effort())))
        for day in (0, 3, 7)
    ]
    made = prescribe_weeks(plans, TRAINED)
    assert [week.week_no for week in made.weeks] == [1, 2]
    assert made.weeks[0].muscle("quads").fractional == 2 * made.weeks[1].muscle("quads").fractional == 6
    assert made.weeks[0].seconds == pytest.approx(sum(s.seconds for s in made.sessions[:2]))
