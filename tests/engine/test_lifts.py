"""Strength goals: sets per lift, and their band."""

from coachdesk.engine import ClientTraits, Rules, apply_edits, find_flags, lift_sets, prescribe_session, strength_sets
from tests.engine import facts
from tests.engine.cast import BAR, BENCH, percent, plan, scheme, session
from tests.engine.test_flags import weeks_of

STRONG = ClientTraits("advanced", goal="strength")


def sets_of(made):
    return strength_sets(prescribe_session(session(plan(1, BENCH, made)), STRONG).exercises[0])


def test_steps_below_65_percent_count_nothing_and_a_drop_set_counts_one():
    # common practice, no source
    assert sets_of(percent("65", "5", 3)) == 3
    assert sets_of(percent("62.5", "5", 3)) == 0
    assert sets_of(scheme("drop_set", "2", ladder="80/65/50")) == 2


def test_the_band_begins_where_strength_gains_are_first_practical():
    # Pelland 2025 as reported: smallest detectable 1, practical about 2, flattening about 4
    row = facts.of("volume_dose_response", outcome="strength")[0]
    assert "practical about 2" in row["note"]
    assert Rules().band_strength == (2, 10)


def test_sets_of_one_lift_add_up_over_rows_and_sessions():
    made = [
        prescribe_session(session(plan(1, BENCH, percent("80", "5", 1)), plan(2, BENCH, percent("70", "5", 4))), STRONG)
    ]
    assert lift_sets(made * 2) == (("bench", 10.0),)


def test_more_than_ten_are_flagged_for_strength_only_and_the_way_out_works():
    week = [(d, f"D{d}", [(BENCH, percent("75", "5", 4), 100, BAR)]) for d in (0, 2, 4)]
    made = weeks_of(week, 2)
    (flag,) = [f for f in find_flags(made, STRONG) if f.code == "lift_above_band"]
    assert flag.weeks == (1, 2)
    assert "12 direct sets" in flag.sentence
    after = find_flags(*apply_edits(made, STRONG, flag.remedies[0].edits))
    assert not [f for f in after if f.code == "lift_above_band"]
    assert not [f for f in find_flags(made, ClientTraits("advanced")) if f.code == "lift_above_band"]
    assert not [f for f in find_flags(weeks_of(week[:2], 2), STRONG) if f.code == "lift_above_band"]
