"""The set profile: numbers in, positions out; and a picture that says in words what it shows."""

import re
import xml.etree.ElementTree as ET
from itertools import pairwise

import pytest

from coachdesk import engine
from programs.figures import profile_svg, set_profile
from programs.figures.set_profile import Bout, bouts_of, common_scale, drawn_seconds, height_of, seconds_of, shape

PRESS = engine.ExerciseTraits("press", "Bench press", (("chest", 1.0), ("triceps", 0.5)), "barbell")
BAR = engine.Barbell("Bar", "kg", 20_000, tuple((kg, 4) for kg in (25_000, 20_000, 10_000, 5_000, 2_500, 1_250)))
HUNDRED = engine.Strength(100.0, 95.0, 105.0, 0.03)
ABLE = engine.ClientTraits(level="intermediate", screening="ok")


def prescribed(**fields: str) -> engine.PrescribedExercise:
    """One exercise with a 1RM of 100 kg, from flat fields."""
    scheme = engine.scheme_from_fields({"load_kind": "percent", **fields}, "kg")
    plan = engine.ExercisePlan(1, PRESS, scheme, HUNDRED, BAR)
    return engine.prescribe_session(engine.SessionPlan(1, 0, "A", (plan,)), ABLE).exercises[0]


STRAIGHT = {"kind": "straight", "sets": "3", "load_value": "80", "reps": "failure", "rest": "180"}
LADDER = {"kind": "drop_set", "sets": "1", "ladder": "80/65/50", "reps": "failure"}
PYRAMID = {"kind": "ascending_pyramid", "ladder": "65x15; 75x10; 85x6", "rest": "120"}


def bout(set_no: int, step_no: int, work: float, rest: float, fraction: float = 0.8) -> Bout:
    return Bout(set_no, step_no, "b", fraction, work, rest, 0.0, 1.0, 0.8)


def test_a_step_is_as_wide_as_it_lasts_at_two_px_a_second():
    bars = shape([bout(1, 1, 24, 60), bout(2, 1, 12, 0)], px_per_s=2, height=70).bars
    assert [(b.x, b.width) for b in bars] == [(0, 48), (48 + 120, 24)]


@pytest.mark.parametrize(("fraction", "top"), [(1.0, 0), (0.65, 35), (0.30, 70), (0.20, 70), (1.2, 0)])
def test_height_runs_from_30_to_100_percent_of_1rm(fraction, top):
    assert height_of(fraction, 70) == pytest.approx(top)


def test_only_a_rest_over_60_s_is_cut_with_a_break():
    drawn = shape([bout(1, 1, 10, 60), bout(2, 1, 10, 180), bout(3, 1, 10, 0)], px_per_s=2, height=70)
    assert [(cut.x, cut.rest_s) for cut in drawn.breaks] == [(20 + 120 + 20 + 60, 180)]
    assert drawn.width == 3 * 20 + 2 * 120
    assert seconds_of([bout(1, 1, 10, 180), bout(2, 1, 10, 0)]) == 200
    assert drawn_seconds([bout(1, 1, 10, 180), bout(2, 1, 10, 0)]) == 80


def test_steps_of_one_set_touch_and_sets_do_not():
    bars = shape(bouts_of(prescribed(**LADDER | {"sets": "2", "rest": "120"}))).bars
    assert [b.joins for b in bars] == [False, True, True, False, True, True]
    for before, after in pairwise(bars):
        if after.joins:
            assert after.x == pytest.approx(before.x + before.width)


@pytest.mark.parametrize("fields", [STRAIGHT, LADDER, PYRAMID])
def test_minutes_are_those_of_the_engine(fields):
    made = prescribed(**fields)
    assert seconds_of(bouts_of(made)) == pytest.approx(engine.sets_seconds(made.sets, PRESS))


def test_the_line_starts_fresh_and_ends_at_the_last_strength_left():
    made = prescribed(**STRAIGHT)
    (line,) = shape(bouts_of(made), height=70).lines
    assert line[0] == (0, 0)
    assert line[-1][1] == pytest.approx(height_of(made.sets[-1][-1].strength_after, 70))


def test_left_and_right_have_lines_of_their_own():
    bouts = [Bout(1, 1, side, 0.8, 10, 0, 0, 1.0, 0.8) for side in "lr"]
    assert len(shape(bouts).lines) == 2


def test_several_profiles_share_the_scale_of_the_longest_and_never_exceed_full_size():
    long, short = [bout(1, 1, 100, 0)], [bout(1, 1, 20, 0)]
    assert common_scale([long, short], 120) == pytest.approx(1.2)
    assert common_scale([short], 120) == set_profile.PX_PER_S
    assert common_scale([], 120) == set_profile.PX_PER_S


def test_small_profile_fits_its_120_by_36_px():
    bouts = bouts_of(prescribed(**STRAIGHT))
    svg = ET.fromstring(profile_svg.small_svg(bouts, px_per_s=profile_svg.small_scale([bouts])))
    bars = [r for r in svg.iter("rect") if r.get("class") == "bar"]
    assert len(bars) == 3
    assert max(float(r.get("x", 0)) + float(r.get("width", 0)) for r in bars) <= 120.1
    assert all(float(r.get("y", 0)) + float(r.get("height", 0)) <= 36 for r in bars)


@pytest.mark.parametrize("fields", [STRAIGHT, LADDER, PYRAMID])
def test_full_profile_is_a_named_picture_without_style_attributes(fields):
    bouts = bouts_of(prescribed(**fields))
    text = profile_svg.full_svg(bouts, "Bench <press>", px_per_s=2)
    svg = ET.fromstring(text)
    assert svg.get("role") == "img"
    assert svg.get("aria-label", "").startswith("Bench <press>: ")
    assert "style=" not in text
    assert len(list(svg.iter("rect"))) == len(bouts)


def test_the_widest_profile_sets_the_scale_of_the_others():
    bouts = bouts_of(prescribed(**LADDER))
    text = profile_svg.full_svg(bouts, "A", px_per_s=2, width=2 * shape(bouts).width)
    ends = [float(x) for x in re.findall(r'<line class="bar-top" x1="[\d.]+%" x2="([\d.]+)%"', text)]
    assert max(ends) == pytest.approx(50, abs=0.1)


def test_sentence_says_sets_loads_minutes_and_what_is_left():
    said = set_profile.sentence_of(bouts_of(prescribed(**LADDER)))
    assert said.startswith("1 set, up to 3 steps in a set at 50 to 80 % of 1RM, ")
    assert "min with rests" in said
    assert set_profile.sentence_of([]) == "Nothing is planned."


def test_an_unknown_load_is_drawn_open_and_still_shows_its_time():
    plan = engine.ExercisePlan(1, PRESS, engine.scheme_from_fields(STRAIGHT | {"load_kind": "percent"}, "kg"))
    made = engine.prescribe_session(engine.SessionPlan(1, 0, "A", (plan,)), ABLE).exercises[0]
    text = profile_svg.full_svg(bouts_of(made), "Bench press", px_per_s=2)
    assert text.count('class="bar-top open"') == 3
    assert "% of 1RM" not in text
