"""Turns an issued session into what a simulated person did and typed; deterministic for a given Random."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from random import Random

from coachdesk.demo.lifter import Lifter, is_one_sided_lower
from coachdesk.demo.shapes import DemoClient, DemoLog, DemoSession, DemoSet, Mistyped
from coachdesk.engine import (
    Equipment,
    Ordinal,
    PrescribedExercise,
    PrescribedSession,
    PrescribedStep,
    makeable,
    round_load,
)
from programs.library.entry import LibraryExercise
from programs.library.exercises import library_exercise

REASONS = ("no time", "ill", "travelling", "forgot", "childcare")
MOST_FELT_RIR = 5  # nobody can tell seven in reserve from nine
CHANGE_S = 10.0  # between the sides of one-sided work
SET_UP_S = 90.0  # walking over and warming up
KG_A_POUND = 0.45359237
TEAM_MINUTES = 50
A_BAND = 0.2  # one band heavier takes a fifth of the reps


@dataclass
class _Visit:
    """What stays the same during one visit."""

    client: DemoClient
    on: date
    week_no: int
    rng: Random
    lifter: Lifter
    place: str
    swapped: bool
    code_of: Callable[[str | int], str]

    @property
    def as_written(self) -> bool:
        since = self.client.quirks.as_written_from
        return since is not None and self.on >= since

    def kit(self, exercise: LibraryExercise) -> Equipment | None:
        return self.client.place(self.place).kit_for(exercise.equipment_kind)


def simulate_session(
    client: DemoClient,
    prescribed: PrescribedSession,
    done_on: date,
    rng: Random,
    code_of: Callable[[str | int], str] = str,
) -> DemoLog:
    """What `client` did of `prescribed` on a date: sets as typed, or a skipped visit with its reason.

    Loads are those prescribed, or makeable ones chosen by feel where none was. `code_of` turns the key of an
    exercise into its library code; by default the key is the code.
    """
    planned = _planned(client, done_on)
    place = client.place(planned.place if planned else "").code
    why = _why_skipped(client, done_on, planned, rng)
    if why:
        return DemoLog(done_on, place, None, None, (), skipped=True, skipped_why=why)
    other = client.quirks.swaps_to
    swapped = other is not None and place != other and rng.random() < client.quirks.swap_chance
    lifter = Lifter.today(client, done_on, rng)
    where = other if swapped and other else place
    visit = _Visit(client, done_on, int(lifter.weeks) + 1, rng, lifter, where, swapped, code_of)
    sets = [done for at, each in enumerate(prescribed.exercises, 1) for done in _exercise(visit, each, at)]
    during, next_morning, where_it_hurt = _painful(client, visit.week_no, done_on)
    minutes, rating = _minutes(visit, prescribed.seconds), _rating(visit, sets)
    note = "Swapped to the hotel." if swapped else ""
    typed = _with_typing_errors(visit, sets)
    return DemoLog(done_on, where, minutes, rating, typed, during, next_morning, where_it_hurt, note=note)


def team_logs(client: DemoClient, monday: date, rng: Random) -> tuple[DemoLog, ...]:
    """Team sessions of one week, unplanned: minutes and rating, no sets."""
    logs = []
    for day in client.quirks.team_days:
        on = monday + timedelta(days=day)
        same = client.quirks.rating_always_from
        rating = 6 if same and on >= same else rng.choice((5, 6, 7, 7))
        logs.append(DemoLog(on, "", TEAM_MINUTES, rating, (), name="Team training"))
    return tuple(logs)


def _planned(client: DemoClient, on: date) -> DemoSession | None:
    program = client.program
    return next((s for s in program.sessions if program.date_of(s) == on), None) if program else None


def _why_skipped(client: DemoClient, on: date, planned: DemoSession | None, rng: Random) -> str:
    chance, why = rng.random(), rng.choice(REASONS)
    if any(first <= on <= last for first, last in client.quirks.away):
        return "away"
    if planned and _must_come(client, planned):
        return ""
    return why if chance > client.quirks.adherence else ""


def _must_come(client: DemoClient, planned: DemoSession) -> bool:
    """Visits that a quirk needs are not skipped."""
    codes = {exercise.code for exercise in planned.exercises}
    typed = any(m.week_no == planned.week_no and m.code in codes for m in client.quirks.mistyped)
    return typed or any((p.week_no, p.day) == (planned.week_no, planned.day) for p in client.quirks.painful)


def _painful(client: DemoClient, week_no: int, on: date) -> tuple[int | None, int | None, str]:
    for pain in client.quirks.painful:
        if (pain.week_no, pain.day) == (week_no, on.weekday()):
            return pain.during, pain.next_morning, pain.code
    return (0, 0, "") if client.quirks.painful else (None, None, "")


def _exercise(visit: _Visit, prescribed: PrescribedExercise, position: int) -> Iterator[DemoSet]:
    exercise = library_exercise(visit.code_of(prescribed.exercise.key))
    here = _available(visit, exercise)
    visit.lifter.rest(SET_UP_S)
    first: dict[str, DemoSet] = {}
    before: dict[str, DemoSet] = {}
    for step in (step for steps in prescribed.sets for step in steps):
        issued = replace(step, load=None) if visit.swapped else step
        for side in _sides(visit, here, step):
            last = (before if step.step_no > 1 else first).get(side)
            load = _load(visit, here, issued, side, last)
            made = _bout(visit, here, issued, side, position, load)
            before[side] = made
            if step.step_no == 1:
                first[side] = made
            yield made
            visit.lifter.rest(CHANGE_S if side != "b" else 0)
        visit.lifter.rest(step.rest_s)


def _available(visit: _Visit, exercise: LibraryExercise) -> LibraryExercise:
    """The exercise itself, or the best substitute that this place has equipment for."""
    options = [exercise, *(library_exercise(code) for code in exercise.substitutes)]
    return next((option for option in options if visit.kit(option) is not None), exercise)


def _sides(visit: _Visit, exercise: LibraryExercise, step: PrescribedStep) -> tuple[str, ...]:
    if exercise.limbs == "two":
        return ("b",)
    if step.side != "b":
        return (step.side,)
    weak = visit.client.quirks.weak_side
    return ("r", "l") if weak and weak[0] == "r" else ("l", "r")


def _bout(
    visit: _Visit,
    exercise: LibraryExercise,
    step: PrescribedStep,
    side: str,
    position: int,
    load: int | None,
) -> DemoSet:
    kg = None if load is None else load / 1000 * (KG_A_POUND if step.unit == "lb" else 1)
    setting, ease = _setting(visit, exercise, step)
    capacity = visit.lifter.capacity(exercise, kg, side) * ease
    done, rir, as_written = _stop(visit, exercise, step, capacity)
    visit.lifter.did(exercise, side, capacity, max(0.0, capacity - done))
    return DemoSet(
        exercise.code,
        position,
        step.set_no,
        step.step_no,
        side,
        exercise.rep_kind,
        step.load,
        _planned_reps(step),
        0.0 if step.to_failure else step.rir,
        load,
        step.unit or "kg",
        done,
        rir,
        as_written,
        failed=not step.to_failure and done < step.reps_low,
        setting=setting,
    )


def _setting(visit: _Visit, exercise: LibraryExercise, step: PrescribedStep) -> tuple[str, float]:
    """(band, share of the reps there are on the middle one); nothing to choose and 1 on other equipment."""
    kit = visit.kit(exercise)
    if not isinstance(kit, Ordinal):
        return "", 1.0
    middle = len(kit.steps) // 2
    place = middle if step.places is None else min(step.places, len(kit.steps) - 1)
    return kit.steps[place], max(0.2, 1 - A_BAND * (place - middle))


def _planned_reps(step: PrescribedStep) -> int | None:
    return None if step.to_failure else step.reps_low


def _load(
    visit: _Visit, exercise: LibraryExercise, step: PrescribedStep, side: str, last: DemoSet | None
) -> int | None:
    """The load taken, in thousandths: as prescribed, or by feel where nothing was; None without units.

    `last` is the bout to go by: the step before in a drop, else the first step of the set before.
    """
    kit = visit.kit(exercise)
    if kit is None or not makeable(kit):
        return None
    uneven = visit.client.quirks.weak_side is not None and is_one_sided_lower(exercise)
    if step.load is None or uneven:  # one written load cannot suit two different legs
        return _by_feel(visit, exercise, step, side, kit, last)
    if last and last.load is not None and step.step_no == 1 and not visit.as_written:
        if _too_easy(step, last):
            return round_load(kit, last.load + 1, "up") or last.load
        return last.load if last.load > step.load and not last.failed else step.load
    return step.load


def _by_feel(
    visit: _Visit,
    exercise: LibraryExercise,
    step: PrescribedStep,
    side: str,
    kit: Equipment,
    last: DemoSet | None,
) -> int | None:
    if last and last.load is not None and step.step_no > 1:
        return round_load(kit, last.load * 0.8, "down") or makeable(kit)[0]
    wanted = visit.lifter.load_for(exercise, (step.reps_low + step.reps_high) / 2 + (step.rir or 0), side)
    if wanted is None:
        return 0 if 0 in makeable(kit) else None
    return round_load(kit, wanted * 1000, "down") or makeable(kit)[0]


def _too_easy(step: PrescribedStep, last: DemoSet) -> bool:
    """Whether the set before left so much in reserve that anybody would take the next load up."""
    if last.rep_kind != "reps" or step.to_failure or step.rir is None:
        return False
    return last.rir is None or last.rir >= step.rir + 2


def _stop(
    visit: _Visit, exercise: LibraryExercise, step: PrescribedStep, capacity: float
) -> tuple[int, float | None, bool]:
    """(how many were done, RIR as typed or None, done as written) for a bout with `capacity` in it."""
    most = int(capacity)
    if exercise.rep_kind != "reps":
        return min(step.reps_low, most), None if visit.as_written else step.rir, visit.as_written
    quirks = visit.client.quirks
    bias = quirks.rir_bias + quirks.rir_drift * visit.lifter.weeks
    felt = capacity + bias + visit.rng.gauss(0, quirks.rir_noise)
    planned = _planned_reps(step)
    if step.to_failure or planned is None:
        return most, 0.0, False
    if visit.as_written and planned <= most:
        return planned, None, True
    done = max(0, min(most, step.reps_high, max(step.reps_low, int(felt - (step.rir or 0)))))
    if done < step.reps_low:
        return done, 0.0, False
    if quirks.rir_always is not None:
        return done, quirks.rir_always, False
    reserve = max(0, round(felt - done))
    return done, float(reserve) if reserve <= MOST_FELT_RIR else None, False


def _with_typing_errors(visit: _Visit, sets: list[DemoSet]) -> tuple[DemoSet, ...]:
    typed = list(sets)
    for slip in visit.client.quirks.mistyped:
        if slip.week_no == visit.week_no:
            index = next((i for i, made in enumerate(typed) if made.exercise_code == slip.code and made.load), None)
            if index is not None:
                typed[index] = replace(typed[index], load=_mistyped(slip, typed[index].load or 0))
    return tuple(typed)


def _mistyped(slip: Mistyped, load: int) -> int:
    return slip.typed if slip.typed is not None else round(load * slip.factor / 1000) * 1000


def _minutes(visit: _Visit, seconds: float) -> int:
    between = visit.client.quirks.minutes_between
    if between:
        return visit.rng.randint(*between)
    return max(5, round(seconds / 60 * visit.rng.uniform(0.95, 1.08)))


def _rating(visit: _Visit, sets: list[DemoSet]) -> int:
    """Session rating 0 to 10: harder when less was left in reserve and more sets were done."""
    same = visit.client.quirks.rating_always_from
    if same and visit.on >= same:
        return 6
    typed = [made.rir for made in sets if made.rir is not None]
    reserve = sum(typed) / len(typed) if typed else 2.5
    return int(min(10, max(2, round(7.5 - reserve + len(sets) / 15 + visit.rng.gauss(0, 0.5)))))
