"""Each kind of scheme as prescribed: loads from bout to bout, how many bouts and sets, reps to expect."""

import pytest

from coachdesk.engine import ClientTraits, Rules, expected_range, prescribe_session, sentence, volume_load_kg
from tests.engine import facts
from tests.engine.cast import BAR, BENCH, CURL, DUMBBELLS, percent, plan, scheme, session

BARE = Rules(warmup=())
AT_80 = {"load_kind": "percent", "load_value": "80"}


def made(scheme_made, kg=100.0, exercise=BENCH, equipment=BAR):
    return prescribe_session(session(plan(1, exercise, scheme_made, kg, equipment)), ClientTraits(), BARE).exercises[0]


def loads(exercise) -> list[list[int | None]]:
    return [[step.load for step in steps] for steps in exercise.sets]


def test_rest_pause_stays_at_its_load_and_each_bout_is_shorter():
    found = made(scheme("rest_pause", "1", **AT_80, ladder="+3 x 20 s"))
    (steps,) = found.sets
    assert {step.load for step in steps} == {80000}
    reps = [step.expected_reps for step in steps]
    assert reps == sorted(reps, reverse=True)
    assert all(step.to_failure for step in steps)
    assert {step.set_kind for step in steps} == {"rest_pause"}


def test_rest_pause_to_a_total_stops_there():
    (steps,) = made(scheme("rest_pause", "1", **AT_80, ladder="to 12 reps x 20 s")).sets
    assert sum(step.expected_reps for step in steps) == pytest.approx(12)
    assert [step.rest_s for step in steps[:-1]] == [20] * (len(steps) - 1)
    assert steps[-1].rest_s == 120


def test_longer_pauses_need_fewer_bouts_for_the_same_total():
    short, long = (
        len(made(scheme("rest_pause", "1", **AT_80, ladder=f"to 15 reps x {s} s")).sets[0]) for s in (10, 60)
    )
    assert long < short


def test_rest_pause_takes_the_published_time():
    # Marshall 2012: 20 reps at 80 % as 5 x 4 with 20 s pauses take 140 s; nothing is unloaded in the pauses
    row = facts.of("techniques_time_efficiency", technique="rest_pause")[0]
    five = scheme("rest_pause", "1", load_kind="percent", load_value="60", reps="4", ladder="+4 +4 +4 +4; 20 s")
    assert made(five).seconds == 60 + float(row["value"].split("/")[1])


def test_a_cluster_keeps_more_in_reserve_than_the_same_reps_in_one_go():
    # Tufano 2016, Jukic 2020: velocity falls less in clusters
    clustered = made(scheme("cluster", "4", **AT_80, ladder="(2+2+2) 20 s"))
    straight = made(percent("80", "6", 4))
    for one, other in zip(clustered.sets, straight.sets, strict=True):
        assert one[-1].rir_expected > other[-1].rir_expected
        assert one[-1].strength_after > other[-1].strength_after


def test_back_off_sets_are_a_share_of_the_top_set():
    found = made(scheme("top_back_off", "1", load_kind="percent", load_value="90", reps="3", ladder="2 x 8 @ -20 %"))
    # 20 % less than 90 kg is 72 kg; 72.5 is the nearest
    assert loads(found) == [[90000], [72500], [72500]]


def test_two_groups_of_back_off_sets_both_go_by_the_top_set():
    ladder = "1 x 6 @ -10 %; 1 x 10 @ -25 %"
    found = made(scheme("top_back_off", "1", load_kind="percent", load_value="90", reps="3", ladder=ladder))
    assert loads(found) == [[90000], [80000], [67500]]


def test_light_to_heavy_rises_by_at_least_one_place():
    ladder = made(scheme("light_to_heavy", "1", ladder="40/50/65/80", reps="3"))
    assert loads(ladder) == [[40000, 50000, 65000, 80000]]
    fine = scheme("light_to_heavy", "1", load_kind="fixed", load_value="10 kg", reps="3", ladder="+10% x 2")
    assert loads(made(fine, 30, CURL, DUMBBELLS)) == [[10000, 12500, 15000]]


def test_a_rise_past_the_end_of_the_rack_is_left_out_and_said():
    past = scheme("light_to_heavy", "1", load_kind="fixed", load_value="40 kg", reps="3", ladder="1 up x 1")
    found = made(past, 90, CURL, DUMBBELLS)
    assert loads(found) == [[40000]]
    assert "heaviest load is 40 kg" in sentence(found.notes[0])


def test_the_open_last_set_goes_on_to_its_reserve():
    *usual, last = made(scheme("open_last", "3", **AT_80, reps="5", rir="1", rest="180")).sets
    assert [steps[0].expected_reps for steps in usual] == [5, 5]
    assert last[0].expected_reps > 5
    assert last[0].rir_expected == pytest.approx(1)
    assert (last[0].rep_kind, last[0].reps_low) == ("at_least", 5)


def test_a_quota_ends_with_the_set_that_reaches_it():
    # common practice, no source: a quota ends when it is reached
    found = made(scheme("quota", "10", load_kind="percent", load_value="60", reps="10", rest="180", ladder="2000 kg"))
    assert len(found.sets) == 4  # 60 kg x 10 reps is 600 a set
    assert volume_load_kg(found) == pytest.approx(2400)
    assert [sentence(note) for note in found.notes] == ["The quota of 2000 kg x reps is reached in set 4, with 2400."]


def test_a_quota_that_cannot_be_reached_or_known_says_so():
    short = made(scheme("quota", "2", load_kind="percent", load_value="60", reps="10", ladder="5000 kg"))
    assert len(short.sets) == 2
    assert sentence(short.notes[-1]) == "2 sets come to 1200 of the 5000 kg x reps asked for."
    unknown = made(scheme("quota", "3", load_kind="percent", load_value="60", reps="10", ladder="5000 kg"), None)
    assert "cannot be worked out" in sentence(unknown.notes[-1])


def test_a_quota_in_pounds_counts_pounds():
    in_kg, in_lb = (
        len(made(scheme("quota", "10", load_kind="percent", load_value="60", reps="10", ladder=f"2000 {unit}")).sets)
        for unit in ("kg", "lb")
    )
    assert (in_kg, in_lb) == (4, 2)


def test_drops_go_down_by_rep_maxima():
    # handbook chart: 10RM 75 %, 12RM 67 %, 15RM 65 % of 1RM
    assert loads(made(scheme("drop_set", "1", ladder="10RM/12RM/15RM"), 200)) == [[150000, 135000, 130000]]


def test_a_range_is_wider_where_less_is_known():
    fresh, later = (steps[0] for steps in made(percent("75", "failure", 2)).sets)
    drop = made(scheme("drop_set", "1", **AT_80, ladder="-20% x 1")).sets[0][1]
    widths = [
        (high - low) / step.expected_reps for step in (fresh, later, drop) for low, high in [expected_range(step)]
    ]
    assert widths == sorted(widths)
    assert widths[0] == pytest.approx(2 * 0.16)


def test_written_reps_are_never_exceeded_and_no_reps_have_no_range():
    assert expected_range(made(percent("60", "8", 1)).sets[0][0]) == (8, 8)
    assert expected_range(made(percent("60", "8", 1), None).sets[0][0]) is None
