"""What can be said on a phone: one plain value for each thing, and its payload by which a replay is known again.

Ids and numbers, and words only where the client wrote them. Loads in thousandths of the step's unit. `over`: the
version that the phone knew of what it changes; 0 for what it had not seen written.
"""

from dataclasses import asdict, dataclass
from typing import Any, ClassVar

from coachdesk.practice.text import clean_text


@dataclass(frozen=True)
class SetDone:
    """A step done: as written, or with its numbers. `slot` is its place in the sheet, such as '2-1-1-b'.

    A step for both sides may be said of 'l' and 'r' apart; a set or bout beyond the last of its exercise counts on.
    """

    kind: ClassVar[str] = "set"
    slot: str
    reps: int | None = None
    load: int | None = None
    rir: float | None = None
    as_written: bool = False
    setting: str | None = None
    over: int = 0


@dataclass(frozen=True)
class SetCleared:
    """A set that was not done after all."""

    kind: ClassVar[str] = "clear"
    slot: str
    over: int


@dataclass(frozen=True)
class Skipped:
    """What is left out, and why; no why takes it back. '2-1-1-b': one step; '2': an exercise; '': the rest of all."""

    kind: ClassVar[str] = "skip"
    place: str
    why: str


@dataclass(frozen=True)
class Swapped:
    """Another exercise instead of the one at this position; None goes back to it."""

    kind: ClassVar[str] = "swap"
    position: int
    exercise: int | None
    why: str = ""


@dataclass(frozen=True)
class Hurt:
    """Pain from 0 to 10 in an exercise that was done, or (no position) in the session as a whole."""

    kind: ClassVar[str] = "pain"
    position: int | None
    pain: int | None
    over: int = 0


@dataclass(frozen=True)
class Rated:
    """How hard the session was, 0 to 10, and the minutes it took."""

    kind: ClassVar[str] = "rating"
    rating: int | None
    minutes: int | None = None
    over: int = 0


@dataclass(frozen=True)
class Shortened:
    """The session made to fit so many minutes: places left out, exercises in turn ('1-3'), no rest longer than this.
    `drops`: exercises done as one set with drops of these loads ('3-15000-12500').

    0 minutes: the whole session again.
    """

    kind: ClassVar[str] = "short"
    minutes: int
    left_out: tuple[str, ...] = ()
    pairs: tuple[str, ...] = ()
    rest_s: int = 0
    drops: tuple[str, ...] = ()


@dataclass(frozen=True)
class Said:
    """A message to the coach."""

    kind: ClassVar[str] = "message"
    text: str


Entry = SetDone | SetCleared | Skipped | Swapped | Hurt | Rated | Shortened | Said


# What entries kept before did not hold: left out where it says nothing.
LATER = {"drops"}


def payload_of(entry: Entry) -> dict[str, Any]:
    """The value as plain JSON, text cleaned as it is kept, so that a replay compares equal, one from before too."""
    return {name: _plain(value) for name, value in asdict(entry).items() if value or name not in LATER}


def _plain(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_plain(one) for one in value]
    return clean_text(value) if isinstance(value, str) else value
