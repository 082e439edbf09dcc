"""How fast a programme is prescribed: the editor asks after every change."""

import gc
import time

from coachdesk.engine import (
    ClientTraits,
    ExercisePlan,
    ExerciseTraits,
    SessionPlan,
    choose_load,
    flag_volume,
    ledgers,
    prescribe,
    prescribe_session,
    prescribe_weeks,
    setting,
    summary,
    warmup,
    with_sets,
)
from coachdesk.engine import (
    programme as programmes,
)
from tests.engine.cast import BAR, BENCH, CURL, DEADLIFT, PRESS, ROW, SQUAT, effort, strength

CALVES = ExerciseTraits("calf", "Calf raise", (("calves", 1.0),), "barbell")
WEEK = (SQUAT, BENCH, ROW, DEADLIFT, PRESS, CURL, CALVES)
CACHES = (
    choose_load.choose,
    flag_volume._cut,
    ledgers.overlap,
    prescribe._prescribe,
    prescribe._prescribe_work,
    programmes._found,
    setting.scale_of,
    summary.summary,
    warmup.warmup_steps,
)
COLD_S, CHANGED = 0.100, 1 / 2  # of the time for all sixty sessions, measured beside it
SLACK = 2.0  # other work shares the machine; process time is taken, and the best of five


def programme() -> list[SessionPlan]:
    known, key, made = strength(120.0), 0, []
    for week in range(12):
        for day in (0, 1, 2, 4, 5):
            plans = []
            for i, exercise in enumerate(WEEK):
                key += 1
                plans.append(ExercisePlan(key, exercise, effort(4, f"{6 + week % 3}-{8 + i % 3}", "2"), known, BAR))
            made.append(SessionPlan(week * 10 + day, week * 7 + day, f"Day {day}", tuple(plans)))
    return made


def seconds(work) -> float:
    gc.collect()
    start = time.process_time()
    work()
    return time.process_time() - start


def forget():
    for cache in CACHES:
        cache.cache_clear()


def test_a_programme_of_1680_sets_is_prescribed_in_a_tenth_of_a_second():
    sessions, client = programme(), ClientTraits()
    best = []
    for _ in range(5):
        forget()
        best.append(seconds(lambda: prescribe_weeks(sessions, client)))
    assert min(best) < SLACK * COLD_S


def test_one_changed_session_costs_only_itself():
    sessions, client = programme(), ClientTraits()
    best, whole = [], []
    for n in range(5):
        forget()
        whole.append(seconds(lambda: prescribe_weeks(sessions, client)))
        changed = list(sessions)
        old = changed[30]
        first = old.exercises[0]
        fresh = ExercisePlan(first.key, first.exercise, with_sets(first.scheme, 5 + n), first.strength, first.equipment)
        changed[30] = SessionPlan(old.key, old.day, old.name, (fresh, *old.exercises[1:]))
        best.append(seconds(lambda changed=changed: prescribe_weeks(changed, client)))
    assert min(best) < CHANGED * min(whole)


def test_unchanged_sessions_are_the_same_objects():
    one, two = (prescribe_weeks(programme(), ClientTraits()) for _ in range(2))
    assert all(a is b for a, b in zip(one.sessions, two.sessions, strict=True))


def test_copied_weeks_are_worked_out_once_under_their_own_names():
    known = strength(120.0)

    def session(number, **more):
        plans = [ExercisePlan(f"{number}-{i}", one, effort(4, "6-8", "2"), known, BAR, **more)
                 for i, one in enumerate((SQUAT, BENCH, ROW))]  # fmt: skip
        return SessionPlan(number, 7 * number, f"Week {number}", tuple(plans))

    forget()
    client = ClientTraits()
    many = [prescribe_session(session(n), client) for n in range(12)]
    assert prescribe._prescribe_work.cache_info().misses == 1
    for number, made in enumerate(many):
        assert (made.key, made.day, made.name) == (number, 7 * number, f"Week {number}")
        assert [one.key for one in made.exercises] == [f"{number}-{i}" for i in range(3)]
        forget()
        assert made == prescribe_session(session(number), client)
    assert prescribe_session(session(1, group="A"), client).seconds != many[1].seconds
