"""The demo roster: the named clients of the practice, and more drawn from the same archetypes."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from random import Random

from coachdesk.demo import cast_gym, cast_health, cast_pair, cast_sport
from coachdesk.demo.names import FIRST_NAMES, LAST_NAMES
from coachdesk.demo.shapes import DemoClient, DemoProgram, DemoTest, LogQuirks

Archetype = Callable[..., DemoClient]
ARCHETYPES: tuple[Archetype, ...] = (
    cast_gym.amara,
    cast_gym.jonas,
    cast_health.mei_lin,
    cast_health.rolf,
    cast_health.saba,
    cast_sport.diego,
    cast_gym.nkechi,
    cast_sport.tuomas,
    cast_gym.priya,
    cast_sport.kwame,
    cast_health.yasmin,
    cast_pair.henrik,
    cast_pair.lupe,
)
MOST_PROGRAM_WEEKS = 52
LIGHTEST_STEP = 2500


def demo_clients(today: date, weeks: int | None = None) -> list[DemoClient]:
    """The thirteen people of the practice, one archived and one without logs; dates relative to `today`.

    `weeks` (4 to 40) of past programme each, where the stories' own lengths are not wanted.
    """
    told = [one(today) if weeks is None else one(today, past=_past(one, weeks)) for one in ARCHETYPES]
    return [*told, cast_pair.bertil(today), cast_pair.noor(today)]


def _past(archetype: Archetype, weeks: int) -> int:
    """Who is in the first weeks of training stays a beginner however long the others' history is."""
    return min(weeks, 6) if archetype is cast_health.saba else weeks


def drawn_clients(count: int, seed: int, today: date, weeks: int = 10) -> list[DemoClient]:
    """`count` more clients from the archetypes with invented names, `weeks` (4 to 48) of past programme each.

    The same arguments give the same people; names do not repeat up to some four thousand clients.
    """
    rng = Random(seed)
    pairs = rng.sample(range(len(FIRST_NAMES) * len(LAST_NAMES)), count)
    past = min(48, max(4, weeks))
    return [_drawn(number, pair, rng, today, past) for number, pair in enumerate(pairs, start=1)]


def _drawn(number: int, pair: int, rng: Random, today: date, weeks: int) -> DemoClient:
    archetype = ARCHETYPES[rng.randrange(len(ARCHETYPES))]
    past = _past(archetype, weeks)
    like = archetype(today, past=past, ahead=min(rng.randint(2, 6) + 3, MOST_PROGRAM_WEEKS - past))
    strength = rng.uniform(0.85, 1.15)
    surname, first = divmod(pair, len(FIRST_NAMES))
    name = f"{FIRST_NAMES[first]} {LAST_NAMES[surname]}"
    later = rng.randint(0, 6 - max(like.days))
    return replace(
        like,
        key=f"drawn-{number}",
        name=name,
        born_on=like.born_on + timedelta(days=rng.randint(-900, 900)),
        days=tuple(day + later for day in like.days),
        body_kg=round(like.body_kg * rng.uniform(0.9, 1.12), 1),
        strength=round(like.strength * strength, 3),
        maxima=tuple((code, round(kg * strength, 1)) for code, kg in like.maxima),
        tests=tuple(_scaled(test, strength) for test in like.tests),
        program=_shifted(like.program, later),
        quirks=_varied(like.quirks, rng, later),
        notes="",
    )


def _scaled(test: DemoTest, strength: float) -> DemoTest:
    """The same test by a stronger or weaker person, at a load that bar and stack can make."""
    step = 2 * LIGHTEST_STEP if test.load > 4 * LIGHTEST_STEP else LIGHTEST_STEP
    return replace(test, load=max(step, round(test.load * strength / step) * step))


def _shifted(program: DemoProgram | None, later: int) -> DemoProgram | None:
    """The same on later days: on days of its own it is nobody's copy."""
    if program is None:
        return None
    sessions = tuple(replace(s, day=s.day + later) for s in program.sessions)
    return replace(program, sessions=sessions, template="")


def _varied(quirks: LogQuirks, rng: Random, later: int) -> LogQuirks:
    """The archetype's habits with other numbers; mistyped loads happen to one in three."""
    return replace(
        quirks,
        adherence=min(1.0, max(0.5, quirks.adherence + rng.uniform(-0.12, 0.05))),
        gain_per_week=max(0.0, quirks.gain_per_week + rng.uniform(-0.003, 0.003)),
        rir_bias=quirks.rir_bias + rng.uniform(-0.5, 0.5),
        rir_noise=rng.uniform(0.4, 1.0),
        mistyped=quirks.mistyped if rng.random() < 1 / 3 else (),
        painful=tuple(replace(pain, day=pain.day + later) for pain in quirks.painful),
        team_days=tuple(day for day in (2 + later, 5) if day <= 6) if quirks.team_days else (),
    )
