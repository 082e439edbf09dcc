"""Flags on days to train towards and over days away: raised, silent on the sane twin, gone by each remedy."""

from dataclasses import replace

import pytest

from coachdesk.engine import (
    Context,
    EngineError,
    TargetDay,
    apply_edits,
    find_flags,
    habit,
    without_dates,
)
from tests.engine.cast import BAR, BENCH, SQUAT, effort
from tests.engine.test_flag_table import MONDAY, TRAINED, every
from tests.engine.test_flags import weeks_of

CHEST = replace(BENCH, muscles=(("chest", 1.0),))
HARD = [(BENCH, effort(8, "8", "0"), 100, BAR)]
EASY = [(BENCH, effort(2, "8", "3"), 100, BAR)]
SOME = [(BENCH, effort(4, "8", "3"), 100, BAR), (SQUAT, effort(4, "8", "3"), 120, BAR)]
NOW = Context(today=0, start_on=MONDAY)
# Friday of week 1, the day after Thursday's session.
FRIDAY = TargetDay(7, 4, "test", "Test of Bench press", ("chest",))
# Saturday of week 4.
MEET = TargetDay(8, 26, "peak", "County meet")


def on(target):
    return replace(NOW, targets=(target,))


def lighter_last_week():
    """Four sets of each on Mondays and Thursdays, two in the week before the meet."""
    light = [(exercise, effort(2, "8", "3"), kg, bar) for exercise, _, kg, bar in SOME]
    first = weeks_of([(0, "A", SOME), (3, "B", SOME)], 3)
    last = weeks_of([(0, "A", light), (3, "B", light)], 4)
    return first + tuple(one for one in last if one.day >= 21)


UNSCREENED = replace(TRAINED, screening="missing")
EXPIRED = replace(TRAINED, screening="expired")
AWAY = replace(NOW, last_day=-2, session_sets=8, away=((8, 24),))

# code: (sessions, client, context) that raises it, then one that does not
CASES = {
    "test_after_hard": (
        (every((0, 3), HARD), TRAINED, on(FRIDAY)),
        (every((0, 2), HARD), TRAINED, on(FRIDAY)),
    ),
    "test_after_hard ": (
        # a test of several lifts: any muscle
        (every((0, 3), HARD), TRAINED, on(replace(FRIDAY, muscles=()))),
        (every((0, 3), HARD), TRAINED, on(replace(FRIDAY, muscles=("quads",)))),
    ),
    "test_after_hard  ": (
        (every((0, 3), HARD), TRAINED, on(FRIDAY)),
        (every((0, 3), EASY), TRAINED, on(FRIDAY)),
    ),
    "peak_not_lighter": (
        (every((0, 3), SOME, 4), TRAINED, on(MEET)),
        (lighter_last_week(), TRAINED, on(MEET)),
    ),
    "peak_not_lighter ": (
        (every((0, 3), SOME, 4), TRAINED, on(MEET)),
        # nothing is known of the weeks before
        (every((0, 3), SOME, 1), TRAINED, on(replace(MEET, day=5))),
    ),
    "layoff": (
        (every((0, 3), SOME, 5), TRAINED, AWAY),
        (every((0, 3), SOME, 5), TRAINED, replace(AWAY, away=((8, 12),))),
    ),
    "layoff ": (
        # the gap is there, but nobody said that the client is away: the coach wrote it so
        (tuple(one for one in every((0, 3), SOME, 5) if not 8 <= one.day <= 24), TRAINED, AWAY),
        (tuple(one for one in every((0, 3), SOME, 5) if not 8 <= one.day <= 24), TRAINED, replace(AWAY, away=())),
    ),
}  # fmt: skip


def of_code(code, sessions, client, context):
    return [flag for flag in find_flags(sessions, client, context=context) if flag.code == code.strip()]


def without(sessions, days):
    return tuple(one for one in sessions if one.day not in days)


# What is planned inside the days away has been taken out or moved in these.
CASES["layoff"] = tuple(
    (without(sessions, range(8, 25)) if context.away == ((8, 24),) else without(sessions, range(8, 13)), who, context)
    for sessions, who, context in CASES["layoff"]
)


@pytest.mark.parametrize("code", CASES)
def test_the_flag_is_raised_once_with_reason_source_and_a_way_out(code):
    (flag,) = of_code(code, *CASES[code][0])
    assert flag.weeks
    assert flag.remedies
    assert flag.source
    assert flag.sentence.endswith(".")
    assert "nan" not in flag.sentence


@pytest.mark.parametrize("code", CASES)
def test_its_sane_twin_does_not_raise_it(code):
    assert [flag.sentence for flag in of_code(code, *CASES[code][1])] == []


@pytest.mark.parametrize("code", CASES)
def test_each_remedy_makes_it_go_away(code):
    sessions, client, context = CASES[code][0]
    (flag,) = of_code(code, sessions, client, context)
    for remedy in flag.remedies:
        after, who = apply_edits(sessions, client, remedy.edits)
        assert after != sessions
        assert [f.sentence for f in of_code(code, after, who, context)] == [], remedy.label


@pytest.mark.parametrize("code", CASES)
def test_nothing_of_the_kind_is_raised_while_today_is_not_known(code):
    sessions, client, context = CASES[code][0]
    assert of_code(code, sessions, client, replace(context, today=None)) == []


@pytest.mark.parametrize(("who", "code"), [(UNSCREENED, "screening_missing"), (EXPIRED, "clearance_expired")])
def test_a_test_without_screening_is_a_stop_on_its_day_and_goes_with_the_test(who, code):
    sessions = every((0, 4), EASY)
    (flag,) = of_code(code, sessions, who, on(FRIDAY))
    assert (flag.severity, flag.where.week_no) == ("stop", 1)
    assert flag.where.session_key == sessions[1].key
    assert flag.sentence.startswith("Test of Bench press, Friday of week 1, is a maximum, and ")
    (remedy,) = flag.remedies
    assert apply_edits(sessions, who, remedy.edits) == (sessions, who)
    assert of_code(code, sessions, who, without_dates(on(FRIDAY), remedy.edits)) == []
    assert of_code(code, sessions, TRAINED, on(FRIDAY)) == []


def test_a_test_on_a_day_without_a_session_holds_back_no_sheet():
    (flag,) = of_code("screening_missing", every((0,), EASY), UNSCREENED, on(FRIDAY))
    assert flag.where.session_key == "date-7"


def test_days_that_are_over_raise_nothing():
    sessions = every((0, 3), HARD, 2)
    late = replace(on(FRIDAY), today=7)
    assert of_code("test_after_hard", sessions, TRAINED, late) == []


def test_the_sentences_say_it_in_plain_words():
    (hard,) = of_code("test_after_hard", *CASES["test_after_hard"][0])
    assert hard.sentence.startswith(
        "Test of Bench press, Friday of week 1, comes 1 day after Day 3, which is hard for chest ("
    )
    (peak,) = of_code("peak_not_lighter", *CASES["peak_not_lighter"][0])
    assert peak.sentence == (
        "County meet, Saturday of week 4, has no lighter days before it: 16 sets in the last 7 days, where 16 are "
        "usual; the house rule is 30 % fewer."
    )
    assert peak.remedies[0].label == "A lighter week before it: down to 11 sets in 7 days, week 4"


def weeks(**totals):
    """Done weeks 1 to 6 of chest sets before week 7."""
    return {int(name[1:]): {"chest": float(sets)} for name, sets in totals.items()}


def test_weeks_with_a_holiday_or_an_illness_are_no_habit():
    """A holiday week just above the 70 % sieve would pull the median down; entered ahead, it is left out."""
    done = tuple((n, (("chest", sets),)) for n, sets in ((-3, 9.0), (-2, 9.0), (-1, 15.0), (0, 15.0)))
    sessions = every((0, 3), [(CHEST, effort(8, "8", "3"), 100, BAR)])
    plain = replace(NOW, weeks=done)
    assert habit(weeks(w3=9, w4=9, w5=15, w6=15), 7).of("chest") == 12
    (jump,) = of_code("volume_jump", sessions, TRAINED, plain)
    assert "against a habit of 12 (median of 4 weeks)" in jump.sentence
    known = replace(plain, away=((-28, -15),))
    assert known.away_weeks == {-3, -2}
    assert [f for f in of_code("volume_jump", sessions, TRAINED, known) if "Chest" in f.sentence] == []


def test_a_planned_week_away_is_no_habit_for_the_weeks_after_it():
    done = tuple((n, (("chest", 15.0),)) for n in (-1, 0))
    sessions = tuple(
        one for week, sets in ((1, 9), (2, 9), (3, 17))
        for one in weeks_of([(0, "A", [(CHEST, effort(sets, "8", "3"), 100, BAR)])], 3) if one.week_no == week
    )  # fmt: skip
    (jump,) = [f for f in of_code("volume_jump", sessions, TRAINED, replace(NOW, weeks=done)) if "Chest" in f.sentence]
    assert jump.sentence.startswith("Chest: 17 sets in week 3 against a habit of 12 ")
    away = replace(NOW, weeks=done, away=((0, 13),))
    assert [f for f in of_code("volume_jump", sessions, TRAINED, away) if "Chest" in f.sentence] == []


@pytest.mark.parametrize(
    "wrong", [{"away": ((5, 4),)}, {"away": ((1,),)}, {"away": ("x",)}, {"targets": ("x",)}]
)  # fmt: skip
def test_days_that_cannot_be_are_refused(wrong):
    with pytest.raises(EngineError):
        Context(**wrong)


@pytest.mark.parametrize("wrong", [{"kind": "race"}, {"muscles": ("wings",)}, {"day": 10**9}, {"key": None}])
def test_a_day_to_train_towards_checks_its_parts(wrong):
    with pytest.raises(EngineError):
        TargetDay(**{"key": 1, "day": 4, "kind": "test", "name": "Test", **wrong})
