"""Who needs the coach first: a score from plain facts about one client, with its reasons in words.

The weights are common practice, no source: they only order a list, and the reasons are shown beside it, so a
coach who weighs things otherwise sees why a client stands where they stand. The score is the sum of

- each stop 100: something must be decided before the client trains again;
- each stop that only next week's sessions meet 70: there are days left to decide it;
- no programme running or coming 60: nothing to do is worse than something to correct;
- a message from the client not answered 50, however many;
- strength falling 40, counted once however many exercises fall;
- each missed session of the last 14 days 25, at most four counted;
- each check 15, at most four counted;
- programme ending 30 when it ends within 7 days, 10 within 14;
- no maximum known 10, once;
- last heard of more than 10 days ago 20, when sessions were planned.
"""

from dataclasses import dataclass

# common practice, no source (all of them)
STOP = 100
COMING_STOP = 70
NO_PROGRAM = 60
MESSAGE = 50
FALLING = 40
MISSED = 25
MISSED_COUNTED = 4
CHECK = 15
CHECKS_COUNTED = 4
ENDING_WEEK = 30
ENDING_FORTNIGHT = 10
NO_MAXIMUM = 10
SILENT = 20
SILENT_DAYS = 10
# an exercise counts as falling when the chance that it rises is below this, from at least so many observations
FALLING_BELOW = 0.1
FALLING_FROM = 4


@dataclass(frozen=True)
class Facts:
    """What is known of one client today. `ends_in` is days until the programme's last planned week is over."""

    stops: tuple[str, ...] = ()
    coming_stops: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    missed: int = 0
    planned: int = 0
    has_program: bool = True
    ends_in: int | None = None
    falling: tuple[str, ...] = ()
    no_maximum: int = 0
    silent_days: int | None = None
    messages: int = 0


@dataclass(frozen=True)
class Need:
    """A score (more is more urgent) and its reasons, weightiest first."""

    score: int
    reasons: tuple[str, ...]

    @property
    def words(self) -> str:
        """One line: a reason may be a sentence of its own, so its full stop is left out."""
        return "; ".join(reason.rstrip(".") for reason in self.reasons) if self.reasons else "Nothing open"


def _count(number: int, one: str, many: str = "") -> str:
    return f"{number} {one if number == 1 else many or one + 's'}"


def _ending(facts: Facts) -> list[tuple[int, str]]:
    if not facts.has_program:
        return [(NO_PROGRAM, "No programme is running")]
    if facts.ends_in is None or facts.ends_in > 14:
        return []
    weight = ENDING_WEEK if facts.ends_in <= 7 else ENDING_FORTNIGHT
    days = "today" if facts.ends_in <= 0 else f"in {_count(facts.ends_in, 'day')}"
    return [(weight, f"Programme ends {days}")]


def _flags(facts: Facts) -> list[tuple[int, str]]:
    parts = []
    if facts.stops:
        parts.append((STOP * len(facts.stops), f"{_count(len(facts.stops), 'stop')}: {facts.stops[0]}"))
    if facts.coming_stops:
        count = len(facts.coming_stops)
        parts.append((COMING_STOP * count, f"{_count(count, 'stop')} next week: {facts.coming_stops[0]}"))
    if facts.checks:
        weight = CHECK * min(len(facts.checks), CHECKS_COUNTED)
        parts.append((weight, f"{_count(len(facts.checks), 'check')}: {facts.checks[0]}"))
    return parts


def _training(facts: Facts) -> list[tuple[int, str]]:
    parts = []
    if facts.messages:
        parts.append((MESSAGE, f"{_count(facts.messages, 'message')} not answered"))
    if facts.missed:
        weight = MISSED * min(facts.missed, MISSED_COUNTED)
        parts.append((weight, f"Missed {facts.missed} of {_count(facts.planned, 'session')} in 14 days"))
    if facts.falling:
        parts.append((FALLING, f"Strength falling: {', '.join(facts.falling)}"))
    if facts.no_maximum:
        parts.append((NO_MAXIMUM, f"No maximum known for {_count(facts.no_maximum, 'exercise')}"))
    if facts.planned and facts.silent_days is not None and facts.silent_days > SILENT_DAYS:
        parts.append((SILENT, f"Nothing logged for {facts.silent_days} days"))
    return parts


def need_of(facts: Facts) -> Need:
    """The client's need: the sum of the weights above, and the reasons by weight, ties in the order listed."""
    parts = _flags(facts) + _ending(facts) + _training(facts)
    parts.sort(key=lambda part: -part[0])
    return Need(sum(weight for weight, _ in parts), tuple(words for _, words in parts))
