"""What comes after a block: what is planned already, and what the coach may propose, each with its number."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from clients.models import Client
from programs.logs.selectors.report_muscles import MuscleMean
from programs.logs.selectors.report_sessions import Sessions
from programs.logs.selectors.report_strength import StrengthLine
from programs.models import Block, ClientDate, Program
from programs.selectors import ProgramView, programs_of

# From here sessions are said to take longer than planned; common practice, no source.
LONGER, MOST_NAMES = 1.15, 3


@dataclass(frozen=True)
class Proposal:
    """One step a coach may tick: a stable code and the sentence that the client reads."""

    code: str
    words: str


@dataclass(frozen=True)
class Coming:
    """The next block (name, first day, weeks) where one is planned, and the dates to train towards."""

    name: str
    starts_on: date | None
    weeks: int
    dates: tuple[ClientDate, ...]


def coming(
    client: Client, program: Program, blocks: Sequence[Block], block: Block, *, after: date, today: date
) -> Coming:
    """What is planned after a day: the programme's next block, else the client's next programme; tests and peaks."""
    dates = client.dates.filter(on__gte=max(today, after - timedelta(days=6))).select_related("exercise")
    upcoming = tuple(dates.order_by("on", "id")[:6])
    later = next((one for one in blocks if one.first_week > block.first_week), None)
    if later is not None and program.start_on is not None:
        on = program.start_on + timedelta(weeks=later.first_week - 1)
        return Coming(later.name, on, later.weeks, upcoming)
    others = [one for one in programs_of(client) if one.start_on and one.start_on > after and one.pk != program.pk]
    if others:
        following = others[-1]
        return Coming(following.name, following.start_on, following.week_count or 0, upcoming)  # type: ignore[attr-defined]
    return Coming("", None, 0, upcoming)


def proposals(
    view: ProgramView, sessions: Sessions, muscles: Sequence[MuscleMean], strengths: Sequence[StrengthLine]
) -> tuple[Proposal, ...]:
    """Every step that the block's own numbers suggest, in the order they are offered."""
    return (*_plan(view), *_attendance(view, sessions), *_volume(view, muscles), *_tests(strengths))


def _plan(view: ProgramView) -> Iterator[Proposal]:
    yield Proposal("keep", "Keep training as in this block.")
    share = round(100 * view.rules.lighter_week)
    yield Proposal("lighter_week", f"Begin with a lighter week: about {share} % fewer sets.")


def _attendance(view: ProgramView, sessions: Sessions) -> Iterator[Proposal]:
    if sessions.done and sessions.done < view.rules.raise_adherence * sessions.due:
        yield Proposal(
            "fewer_sessions",
            f"Plan fewer or shorter sessions: {sessions.done} of {sessions.due} fitted into your weeks.",
        )
    planned, taken = (sum(column) for column in zip(*sessions.timed, strict=True)) if sessions.timed else (0, 0)
    if planned and taken > LONGER * planned:
        n = len(sessions.timed)
        yield Proposal(
            "more_time", f"Allow more time: sessions took {taken / n:.0f} min where {planned / n:.0f} were planned."
        )


def _volume(view: ProgramView, muscles: Sequence[MuscleMean]) -> Iterator[Proposal]:
    grow = {code for code, aim in view.traits.marks if aim == "grow"}
    for one in muscles:
        trend, done = one.trend, one.done
        if trend.band is None:
            continue
        name = trend.name.lower()
        if one.below and trend.code in grow and done < trend.band[0]:
            low = f"{trend.band[0]:g}"
            yield Proposal(
                f"more_{trend.code}", f"More sets for {name}: {done:.1f} a week so far, {low} or more are usual."
            )
        if one.above and done > trend.band[1]:
            high = f"{trend.band[1]:g}"
            yield Proposal(
                f"fewer_{trend.code}", f"Fewer sets for {name}: {done:.1f} a week so far, up to {high} are usual."
            )


def _tests(strengths: Sequence[StrengthLine]) -> Iterator[Proposal]:
    """Exercises whose estimate is in the most doubt."""
    unsure = sorted((line for line in strengths if line.reach > 0.1), key=lambda line: -line.reach)[:MOST_NAMES]
    if unsure:
        names = ", ".join(line.name for line in unsure)
        yield Proposal("test", f"Test again to know more surely: {names}.")
