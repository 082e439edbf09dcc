"""Whatever goes in, only EngineError comes out, and no NaN, infinity or negative number ever does."""

import contextlib
import inspect
import math
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import coachdesk.engine as engine
from coachdesk.engine import EngineError
from tests.engine.cast import BAR, BENCH, CURL, DUMBBELLS, STACK, effort, percent, plan, scheme, session, strength

MADE = engine.prescribe_session(session(plan(1, BENCH, effort())), engine.ClientTraits())
DROPS = scheme("drop_set", "2", ladder="80/65/50")
GOOD = (
    BAR,
    DUMBBELLS,
    STACK,
    BENCH,
    CURL,
    DROPS,
    effort(),
    percent("80", "5"),
    strength(100.0),
    session(plan(1, BENCH, DROPS)),
    engine.ClientTraits(),
    engine.ClientTraits("novice", age=70),
    engine.Rules(),
    engine.Step(0.8),
    engine.Step(0.7, 5, 60),
    engine.Observation(date(2026, 1, 1), 100.0, 5, 1),
    MADE,
    MADE.exercises[0],
    MADE.exercises[0].sets,
    MADE.exercises[0].sets[0],
    MADE.exercises[0].sets[0][0],
    engine.Because("ramp"),
    engine.LoadRule("percent", 80),
    engine.RepRule("failure"),
    engine.Load(20000, "kg"),
    date(2026, 1, 1),
    datetime(2026, 1, 1),
)
WORDS = (
    "kg",
    "lb",
    "epley",
    "handbook",
    "nearest",
    "down",
    "chest",
    "straight",
    "drop_set",
    "80/65",
    "8-10",
    "90",
    "42,5",
    "1e400",
)
ODD = (
    None,
    True,
    "",
    "\x00",
    "\u0663",
    10**400,
    -(10**400),
    float("nan"),
    math.inf,
    -math.inf,
    -1,
    0,
    1e-320,
    1e308,
    -0.0,
    Decimal("NaN"),
    Fraction(1, 3),
    [],
    {},
    (),
    object(),
    b"8",
    {"v": 1},
    [[1]],
    ((1, 2, 3),),
    complex(1, 1),
)

scalars = st.one_of(
    st.sampled_from(ODD),
    st.sampled_from(WORDS),
    st.floats(),
    st.integers(),
    st.floats(0, 2),
    st.integers(0, 30),
    st.text(max_size=12),
)
values = st.one_of(
    scalars,
    st.sampled_from(GOOD),
    st.lists(st.one_of(scalars, st.sampled_from(GOOD)), max_size=4),
    st.lists(st.sampled_from(GOOD), max_size=3).map(tuple),
    st.lists(st.floats(0, 1000), max_size=9),
    st.dictionaries(
        st.sampled_from(["v", "kind", "sets", "step", "ladder", "reps", "rir", "rest", "name", "unit", "bar"]),
        scalars,
        max_size=6,
    ),
)
PUBLIC = sorted(
    name for name in engine.__all__ if callable(getattr(engine, name)) and inspect.isfunction(getattr(engine, name))
)
CLASSES = sorted(
    name
    for name in engine.__all__
    if inspect.isclass(getattr(engine, name))
    and name not in ("EngineError", "FieldErrors", "SchemeKind", "Constant", "Muscle")
    and not name.startswith("Prescribed")
    and name not in ("MuscleSession", "Habit", "Proposal", "Written", "Stand", "Shorter")  # answers of the engine
    and name not in ("WeekTotals", "MuscleWeek", "Count", "StepResult", "Flag", "Remedy", "Edit", "Where", "Because")
)
SIGNED = {"trend_per_week", "z"}


def check(value, depth=0):
    """No float anywhere in a result is NaN, infinite or (unless signed by meaning) negative."""
    if isinstance(value, float):
        assert math.isfinite(value)
        assert value >= 0
    elif isinstance(value, (list, tuple)) and depth < 12:
        for member in value:
            check(member, depth + 1)
    elif is_dataclass(value) and not isinstance(value, type) and depth < 12:
        for field in fields(value):
            if field.name not in SIGNED:
                check(getattr(value, field.name), depth + 1)


def call(name, arguments):
    with contextlib.suppress(EngineError):
        check(getattr(engine, name)(*arguments))


def positional(name):
    parameters = inspect.signature(getattr(engine, name)).parameters.values()
    return [p for p in parameters if p.kind in (p.POSITIONAL_ONLY, p.POSITIONAL_OR_KEYWORD)]


def fitting(parameter):
    """Mostly values of the annotated kind, so that the fuzz gets past the first check; else anything."""
    wanted = str(parameter.annotation)
    good = [one for one in GOOD if type(one).__name__ in wanted]
    pools = [st.sampled_from(good)] if good else []
    if good and "Sequence" in wanted:
        pools = [st.lists(st.sampled_from(good), max_size=4)]
    if "str" in wanted:
        pools.append(st.sampled_from(WORDS))
    if "float" in wanted or "int" in wanted:
        pools += [st.floats(0, 200), st.integers(0, 40000)]
    return st.one_of(*pools, values) if pools else values


def arguments_of(name):
    strategies = [fitting(parameter) for parameter in positional(name)]
    least = sum(parameter.default is parameter.empty for parameter in positional(name))
    return st.integers(least, len(strategies)).flatmap(lambda n: st.tuples(*strategies[:n]))


def test_the_whole_public_surface_is_fuzzed():
    assert len(PUBLIC) > 50
    assert {"one_rep_max", "predict_steps", "prescribe_weeks", "scheme_from_fields", "estimate_strength"} <= set(PUBLIC)
    assert {"Step", "Barbell", "Scheme", "ClientTraits", "Strength"} <= set(CLASSES)


@pytest.mark.parametrize("name", PUBLIC)
def test_functions_let_only_engine_errors_out(name):
    @settings(max_examples=150, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(arguments_of(name))
    def fuzz(arguments):
        call(name, arguments)

    fuzz()


@pytest.mark.parametrize("name", CLASSES)
def test_values_refuse_bad_fields_with_engine_errors(name):
    @settings(max_examples=150, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(arguments_of(name))
    def fuzz(arguments):
        call(name, arguments)

    fuzz()


numbers = st.one_of(st.floats(0, 1), st.floats(0, 1e9), st.integers(0, 1001), st.floats(allow_nan=True))


@settings(max_examples=300, deadline=None)
@given(st.lists(st.tuples(numbers, st.one_of(st.none(), numbers), numbers), max_size=8), st.floats(0.2, 5))
def test_predictions_stay_within_bounds(rows, endurance):
    try:
        steps = [engine.Step(fraction, reps, rest) for fraction, reps, rest in rows]
        results = engine.predict_steps(steps, endurance=endurance)
        assert engine.session_seconds(steps, endurance=endurance) >= 0
    except EngineError:
        return
    for step, result in zip(steps, results, strict=True):
        check(result)
        assert 0 < result.strength_after <= result.strength_before <= 1
        assert step.reps is None or result.reps <= step.reps


@settings(max_examples=300, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from(engine.FIELDS),
        st.one_of(st.sampled_from(WORDS), st.text(alphabet="0123456789x/%-;, .@RMkgdownfailure\n\u0663", max_size=25)),
    )
)
def test_form_fields_never_crash(typed):
    try:
        made = engine.scheme_from_fields(typed, "kg")
    except engine.FieldErrors as wrong:
        errors, made = wrong.errors, None
    if made is None:
        assert errors
        assert set(errors) <= set(engine.FIELDS)
    else:
        assert engine.scheme_from_json(engine.scheme_to_json(made)) == made


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: engine.Scheme("straight", 0, effort().step), "sets is 0"),
        (lambda: engine.RepRule("reps", 1001, 1001), "1001"),
        (lambda: session(plan(1, BENCH, effort()), day=104 * 7), "day is 728"),
        (lambda: engine.parse_load("0,0001", "kg"), "three decimals"),
        (lambda: engine.find_flags((), engine.ClientTraits(age=4)), "age is 4"),
    ],
)
def test_messages_say_what_is_wrong_and_what_would_be_right(make, message):
    with pytest.raises(EngineError, match=message) as caught:
        make()
    assert "it should be" in str(caught.value)


def test_an_empty_programme_is_an_empty_answer():
    made = engine.prescribe_weeks((), engine.ClientTraits())
    assert (made.sessions, made.weeks, made.flags) == ((), (), ())


def test_a_programme_of_104_weeks_is_answered():
    sessions = [session(plan(f"e{n}", BENCH, effort()), day=7 * n, key=f"s{n}") for n in range(104)]
    assert len(engine.prescribe_weeks(sessions, engine.ClientTraits()).weeks) == 104
