"""The first lines of a block's report: what happened, in plain words, to the client."""

from collections.abc import Iterator, Sequence

from programs.logs.selectors.report_bests import BestLine
from programs.logs.selectors.report_sessions import Sessions
from programs.logs.selectors.report_strength import StrengthLine
from programs.services.sheet_body import CAUTIONS

REPORT_CAUTIONS = (
    *CAUTIONS[:2],
    "This report supports a qualified coach and replaces neither medical advice nor licensed practice nor local rules.",
)


def in_short(sessions: Sessions, strengths: Sequence[StrengthLine], bests: Sequence[BestLine]) -> tuple[str, ...]:
    """Sentences on sessions, minutes, effort, strength and bests; one on what is missing where nothing was logged."""
    if not any(one.log for one in sessions.visits):
        return ("Nothing has been logged in these weeks yet, so there is nothing to compare with the plan.",)
    return (*_attendance(sessions), *_time(sessions), *_effort(sessions), *_strength(strengths), *_bests(bests))


def _attendance(sessions: Sessions) -> Iterator[str]:
    besides = f", and {counted(sessions.besides, 'session')} besides the plan" if sessions.besides else ""
    if sessions.due:
        yield f"You did {sessions.done} of {counted(sessions.due, 'planned session')}{besides}."
    else:
        yield f"You did {counted(sessions.besides, 'session')} besides the plan."
    if sessions.to_come:
        verb = "is" if sessions.to_come == 1 else "are"
        yield f"{counted(sessions.to_come, 'session')} of this block {verb} still to come."


def _time(sessions: Sessions) -> Iterator[str]:
    pairs = sessions.timed
    if pairs:
        planned, taken = (sum(column) / len(pairs) for column in zip(*pairs, strict=True))
        which = "The one" if len(pairs) == 1 else f"The {len(pairs)}"
        yield f"{which} with a time noted took {taken:.0f} min on average; {planned:.0f} min were planned."


def _effort(sessions: Sessions) -> Iterator[str]:
    if sessions.ratings:
        mean = sum(sessions.ratings) / len(sessions.ratings)
        yield f"You rated them {mean:.1f} of 10 on average (0 rest, 10 the hardest)."


def _strength(lines: Sequence[StrengthLine]) -> Iterator[str]:
    told = [line for line in lines if line.change is not None]
    if not told:
        yield "No lift was measured both before and in this block, so nothing can be said of a change in strength."
        return
    up = sum(1 for line in told if line.change and line.change.verdict in ("up", "probably up"))
    down = sum(1 for line in told if line.change and line.change.verdict in ("down", "probably down"))
    same = len(told) - up - down
    if same == len(told):
        yield f"Of {counted(len(told), 'lift')} measured, none shows a change that is clear of the doubt."
        return
    parts = [f"{n} {words}" for n, words in (
        (up, "probably or almost certainly went up"), (down, "probably or almost certainly went down"),
        (same, "show no change that is clear of the doubt"),
    ) if n]  # fmt: skip
    yield f"Of {counted(len(told), 'lift')} measured, {'; '.join(parts)}."


def _bests(lines: Sequence[BestLine]) -> Iterator[str]:
    told = [line for line in lines if line.moved is not None]
    more = sum(1 for line in told if line.moved and line.moved > 0)
    if told:
        went = f"{more} went beyond the best before" if more else "none went beyond the best before"
        yield f"Of {counted(len(told), 'hold or distance', 'holds and distances')} done before too, {went}."


def counted(n: int, noun: str, many: str = "") -> str:
    """'1 session', '4 sessions'."""
    return f"{n} {noun if n == 1 else many or noun + 's'}"
