"""What the demo practice is made of: places, people, programmes, and what a simulated session gives back."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from coachdesk.demo.schemes import SchemeFields
from coachdesk.engine import Equipment


@dataclass(frozen=True)
class DemoEquipment:
    """One piece of equipment: `kind` as exercises name it, `kit` the engine's value with its loads."""

    name: str
    kind: str
    kit: Equipment


@dataclass(frozen=True)
class DemoPlace:
    """A place to train and what stands in it; one piece of each kind."""

    code: str
    name: str
    equipment: tuple[DemoEquipment, ...]
    spotter: str = ""

    def kit_for(self, kind: str) -> Equipment | None:
        """The engine's equipment of this kind here, or None when the place has none."""
        return next((piece.kit for piece in self.equipment if piece.kind == kind), None)


@dataclass(frozen=True)
class DemoScreening:
    """One round of screening questions; `outcome` is clear, cleared or refer; `yes` are keys answered yes."""

    asked_on: date
    outcome: str
    expires_on: date
    note: str = ""
    yes: tuple[str, ...] = ()


@dataclass(frozen=True)
class DemoPrecaution:
    """Something to work around, with the muscle it touches and the kind the engine knows, when there is one."""

    words: str
    muscle: str = ""
    since_on: date | None = None
    until_on: date | None = None
    code: str = ""


@dataclass(frozen=True)
class DemoTest:
    """A tested lift: load in thousandths of the unit stamped on the equipment, x reps to failure.

    Of timed exercises the best time or distance, `reps` in seconds or metres.
    """

    code: str
    on: date
    load: int
    reps: int
    unit: str = "kg"
    side: str = "b"


@dataclass(frozen=True)
class DemoExercise:
    """One planned exercise: library code and scheme, as the flat fields of the scheme editor."""

    code: str
    scheme: SchemeFields
    cue: str = ""


@dataclass(frozen=True)
class DemoSession:
    """One planned visit: week from 1, day 0 (Monday) to 6; an empty place is the client's first one."""

    week_no: int
    day: int
    name: str
    exercises: tuple[DemoExercise, ...]
    place: str = ""


@dataclass(frozen=True)
class DemoBlock:
    """A run of weeks with one aim; `first_week` counts from 1."""

    name: str
    first_week: int
    weeks: int


@dataclass(frozen=True)
class DemoProgram:
    """A programme that began on a Monday; sessions of past and coming weeks in order.

    `template`: the name of what it is a copy of, in which a session of the same week and day is the same session.
    """

    name: str
    start_on: date
    blocks: tuple[DemoBlock, ...]
    sessions: tuple[DemoSession, ...]
    template: str = ""

    def date_of(self, session: DemoSession) -> date:
        """The civil date of a planned session."""
        return self.start_on + timedelta(weeks=session.week_no - 1, days=session.day)


@dataclass(frozen=True)
class Mistyped:
    """The first set of an exercise typed wrongly in one week: `typed` thousandths, or true load x `factor`.

    A factor of 2.2046 is a number of pounds entered as kilograms.
    """

    code: str
    week_no: int
    factor: float = 1.0
    typed: int | None = None


@dataclass(frozen=True)
class Painful:
    """Pain from 0 to 10 in the exercise of that code in the session of that week and day, and the next morning."""

    week_no: int
    day: int
    during: int
    next_morning: int
    code: str = ""


@dataclass(frozen=True)
class LogQuirks:
    """How this person trains and reports; every field has a plain default.

    `gain_per_week` and `day_sd` are fractions of the maximum; `rir_bias` is reported minus true RIR and
    moves by `rir_drift` a week; `endurance` lists (exercise code, true repetition capacity); `weak_side` is
    (side, share of the other side's strength) in one-sided lower-body work; `away` lists first and last
    days off.
    """

    adherence: float = 0.92
    gain_per_week: float = 0.004
    day_sd: float = 0.02
    rir_bias: float = 0.3
    rir_drift: float = 0.0
    rir_noise: float = 0.6
    rir_always: float | None = None
    as_written_from: date | None = None
    endurance: tuple[tuple[str, float], ...] = ()
    weak_side: tuple[str, float] | None = None
    away: tuple[tuple[date, date], ...] = ()
    swaps_to: str | None = None
    swap_chance: float = 0.0
    minutes_between: tuple[int, int] | None = None
    rating_always_from: date | None = None
    mistyped: tuple[Mistyped, ...] = ()
    painful: tuple[Painful, ...] = ()
    team_days: tuple[int, ...] = ()


@dataclass(frozen=True)
class DemoClient:
    """A person of the practice. `strength` scales the capacity table (1.0: a trained man); days 0 to 6."""

    key: str
    name: str
    born_on: date
    goal: str
    level: str
    training_since_on: date
    days: tuple[int, ...]
    minutes: int
    body_kg: float
    strength: float
    places: tuple[DemoPlace, ...]
    screening: DemoScreening | None
    unit: str = "kg"
    precautions: tuple[DemoPrecaution, ...] = ()
    marks: tuple[tuple[str, str], ...] = ()
    tests: tuple[DemoTest, ...] = ()
    maxima: tuple[tuple[str, float], ...] = ()
    program: DemoProgram | None = None
    quirks: LogQuirks = field(default_factory=LogQuirks)
    notes: str = ""
    archived_on: date | None = None
    has_logs: bool = True
    # Whether the desk knows the body mass: only then is body-weight work counted by what is moved.
    weighed: bool = False

    def place(self, code: str) -> DemoPlace:
        """The client's place with this code; the first place when the code is unknown to them."""
        return next((place for place in self.places if place.code == code), self.places[0])


@dataclass(frozen=True)
class DemoSet:
    """One step that was done, as typed. `load` is thousandths of `unit`, below 0 assistance, None without units.

    `setting`: the band, where there are bands.
    """

    exercise_code: str
    position: int
    set_no: int
    step_no: int
    side: str
    rep_kind: str
    planned_load: int | None
    planned_reps: int | None
    planned_rir: float | None
    load: int | None
    unit: str
    reps: int
    rir: float | None
    as_written: bool = False
    failed: bool = False
    setting: str = ""


@dataclass(frozen=True)
class DemoLog:
    """One visit: minutes, rating 0 to 10, sets; or skipped, with the reason.

    Pain is 0 to 10 or None, of the exercise named by its code, or of the session as a whole.
    """

    done_on: date
    place: str
    minutes: int | None
    rating: int | None
    sets: tuple[DemoSet, ...]
    pain: int | None = None
    pain_next_morning: int | None = None
    pain_in: str = ""
    skipped: bool = False
    skipped_why: str = ""
    note: str = ""
    name: str = ""
