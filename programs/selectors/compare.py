"""The scheme comparison: two to four schemes for one lifter and exercise, side by side with their differences."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import QuerySet
from django.utils.safestring import SafeString

from clients.mapping import house_rules
from clients.models import Client
from clients.selectors import today_for, visible_clients
from coachdesk import engine
from coachdesk.practice.models import Membership
from programs.mapping import Kits, Known, exercise_traits, piece_for
from programs.models import Exercise, PlannedExercise, Scheme
from programs.scheme_notes import FIELD_NAMES, LOAD_KINDS, note_of, start_of
from programs.selectors.context import known_of, traits_of
from programs.selectors.exercises import visible_exercises
from programs.selectors.prescription import NOBODY, session_plans
from programs.selectors.programs import planned_session, visible_planned_exercises
from programs.selectors.scheme_trial import (
    ALONE,
    EXAMPLE,
    Lifter,
    Trial,
    alone,
    example_kit,
    stated_strength,
    try_scheme,
)
from programs.selectors.schemes import flat, pictures, visible_schemes

LETTERS = "abcd"
# What stands side by side until somebody chooses: common practice, no source.
USUAL = ("straight", "drop_set", "ascending_pyramid", "rest_pause")
SAVED = "saved-"
PLOT = 820.0
SMALL = 0.195


@dataclass(frozen=True)
class Field:
    """One control of a scheme: its name, id, words, typed text, error, and choices for a list."""

    name: str
    id: str
    label: str
    value: str
    error: str
    choices: tuple[tuple[str, str], ...] = ()
    is_used: bool = True


@dataclass(frozen=True)
class Column:
    """One scheme: its typed fields with errors, and when it can be read, what it comes to and looks like."""

    letter: str
    typed: dict[str, str]
    errors: dict[str, str]
    trial: Trial | None
    svg: SafeString | None = None
    against: str = ""

    @property
    def kind(self) -> str:
        return self.typed["kind"]

    @property
    def name(self) -> str:
        found = engine.SCHEMES.get(self.kind)
        return found.name if found else self.kind

    @property
    def words(self) -> str:
        return engine.scheme_words(self.trial.scheme) if self.trial else ""

    @property
    def is_fixed(self) -> bool:
        """A scheme of several parts has no fields: it stands as it is planned."""
        return self.kind == "series"

    @property
    def fields(self) -> list[Field]:
        """The controls below the kind; those the kind does not use are kept, hidden."""
        note = note_of(self.kind)
        made = []
        for name in engine.FIELDS:
            if name == "kind":
                continue
            label = note.list_name if name == "ladder" and note.list_name else FIELD_NAMES.get(name, name)
            choices = LOAD_KINDS if name == "load_kind" else ()
            used = name in note.uses
            made.append(
                Field(name, f"{self.letter}-{name}", label, self.typed.get(name, ""), self.errors.get(name, ""),
                      choices, used)
            )  # fmt: skip
        return made


@dataclass(frozen=True)
class Measure:
    """One line of the table: what, in which unit, and for each column a number in words and its share of the first."""

    name: str
    unit: str
    cells: tuple[tuple[str, str], ...]
    basis: str


@dataclass(frozen=True)
class Comparison:
    """The whole page."""

    columns: list[Column]
    measures: list[Measure]
    client: Client | None
    exercise: Exercise | None
    planned: PlannedExercise | None
    lifter: Lifter | None
    maximum: str
    maximum_error: str
    unit: str
    clients: QuerySet[Client]
    exercises: list[tuple[int, str]]
    kinds: list[tuple[str, str]]
    saved: list[tuple[str, str]]
    added: str = ""

    @property
    def has_errors(self) -> bool:
        return bool(self.maximum_error) or any(column.errors for column in self.columns)

    @property
    def needs_maximum(self) -> bool:
        """Whether the maximum has to be stated, because nobody's own evidence gives one."""
        return self.lifter is not None and not self.lifter.interval

    @property
    def next_letter(self) -> str:
        """The letter of one more scheme, nothing when there are four."""
        return LETTERS[len(self.columns) : len(self.columns) + 1]


def comparison(desk: Membership, typed: Mapping[str, str], *, now: datetime) -> Comparison:
    """What the address asks for; anything it does not say has a usual start, and nothing typed is lost."""
    planned = _row(visible_planned_exercises(desk), typed.get("planned"))
    program = planned.session.block.program if planned else None
    people = visible_clients(desk).select_related("place", "practice").filter(archived_on=None)
    client = program.client if program and program.client else _row(people, typed.get("client"))
    movements = visible_exercises(desk).filter(rep_kind="reps").order_by("folded", "id")
    exercise = planned.exercise if planned else _row(movements, typed.get("exercise"))
    exercise = exercise or movements.filter(code="bench_press").first() or movements.first()
    unit = client.unit if client else desk.practice.unit
    kg, wrong = _maximum(typed.get("max", ""), unit)
    lifter = _lifter(desk, client, exercise, planned, kg, unit, now) if exercise else None
    saved = list(visible_schemes(desk))
    columns = _columns(typed, planned, lifter, unit, saved) if lifter else []
    return Comparison(
        columns=columns, measures=measures(columns), client=client, exercise=exercise, planned=planned, lifter=lifter,
        maximum=typed.get("max", "") or f"{EXAMPLE:g}", maximum_error=wrong, unit=unit,
        clients=people, exercises=list(movements.values_list("id", "name")),
        kinds=[(k.kind, k.name) for k in engine.SCHEMES.values() if k.kind != "series"],
        saved=[(f"{SAVED}{row.pk}", row.name) for row in saved],
        added=columns[-1].letter if columns and typed.get("add") else "",
    )  # fmt: skip


def _row(rows: QuerySet[Any], text: str | None) -> Any:
    """The visible row of that id, None for anything else."""
    if not text or not text.isascii() or not text.isdigit() or len(text) > 18:
        return None
    return rows.filter(pk=int(text)).first()


def _maximum(text: str, unit: str) -> tuple[float, str]:
    """(kg, what is wrong with it) of a stated maximum; the example's when nothing was typed."""
    if not text.strip():
        return engine.to_kg(int(EXAMPLE * 1000), unit), ""
    try:
        load = engine.parse_load(text, unit)
        if not load.thousandths:
            raise engine.EngineError("1RM", text, "above 0")
        return engine.to_kg(load.thousandths, load.unit), ""
    except engine.EngineError as wrong:
        return engine.to_kg(int(EXAMPLE * 1000), unit), str(wrong)


def _lifter(
    desk: Membership, client: Client | None, exercise: Exercise, planned: PlannedExercise | None, kg: float, unit: str,
    now: datetime,
) -> Lifter:  # fmt: skip
    """The client with their own maximum, equipment and rules, or the stated example; within its session if planned."""
    known = known_of(client) if client else Known()
    traits = traits_of(client, today_for(client, now), known.facts) if client else NOBODY
    rules = house_rules(client or desk.practice)
    if planned is None:
        mine, here = exercise_traits(exercise), known.at(client.place if client else None)
        plan = engine.SessionPlan(ALONE, 0, "", (alone(mine, here.strengths.get(exercise.pk), _kit_of(client, mine)),))
    else:
        (plan,) = session_plans([planned_session(planned)], client, known, Kits())
    key = planned.pk if planned else ALONE
    found = next(one for one in plan.exercises if one.key == key)
    own = found.strength is not None
    stated = replace(
        found, strength=found.strength or stated_strength(kg),
        equipment=found.equipment or (None if client else example_kit(unit).get(found.exercise.equipment_kind)),
    )  # fmt: skip
    rest = tuple(stated if one is found else one for one in plan.exercises)
    return Lifter(replace(plan, exercises=rest), key, traits, rules, unit, own)


def _kit_of(client: Client | None, exercise: engine.ExerciseTraits) -> Any:
    """What the client loads this exercise with at their own place."""
    return piece_for(Kits().at(client.place if client else None), exercise)


def _columns(
    typed: Mapping[str, str], planned: PlannedExercise | None, lifter: Lifter, unit: str, saved: list[Scheme]
) -> list[Column]:
    fields = [(letter, _typed(typed, letter, unit, saved)) for letter in LETTERS if typed.get(f"{letter}-kind")]
    fields = [(letter, one) for letter, one in fields if typed.get("remove") != letter]
    made = [one for _, one in fields] or _usual(planned, unit)
    if typed.get("add") and len(made) < len(LETTERS):
        used = {one["kind"] for one in made}
        made.append(start_of(next((kind for kind in USUAL if kind not in used), USUAL[0])))
    while len(made) < 2:
        made.append(start_of(USUAL[len(made)]))
    columns = [_column(letter, one, planned, lifter, unit) for letter, one in zip(LETTERS, made, strict=False)]
    return _drawn(columns)


def _usual(planned: PlannedExercise | None, unit: str) -> list[dict[str, str]]:
    """What stands side by side at first: the planned scheme if there is one, then the usual ones of other kinds."""
    made = []
    if planned is not None:
        made.append(flat(engine.scheme_from_json(planned.scheme), unit) or {"kind": "series"})
    kinds = [kind for kind in USUAL if not made or kind != made[0]["kind"]]
    return (made + [start_of(kind) for kind in kinds])[:3]


def _typed(typed: Mapping[str, str], letter: str, unit: str, saved: list[Scheme]) -> dict[str, str]:
    """The typed fields of a column; another kind begins from its usual start, a saved scheme from its own fields."""
    kind = typed.get(f"{letter}-kind", "")[:40]
    for row in saved:
        if kind == f"{SAVED}{row.pk}":
            try:
                return flat(engine.scheme_from_json(row.value), unit) or start_of("straight")
            except engine.EngineError:
                return start_of("straight")
    was = typed.get(f"{letter}-was", "")
    if was and was != kind and kind in engine.SCHEMES:
        return start_of(kind)
    return {name: typed.get(f"{letter}-{name}", "")[:400] for name in engine.FIELDS}


def _column(letter: str, typed: dict[str, str], planned: PlannedExercise | None, lifter: Lifter, unit: str) -> Column:
    try:
        if typed["kind"] == "series" and planned is not None:
            scheme = engine.scheme_from_json(planned.scheme)
        else:
            scheme = engine.scheme_from_fields(typed, unit)
        return Column(letter, typed, {}, try_scheme(lifter, scheme))
    except engine.FieldErrors as wrong:
        return Column(letter, typed, wrong.errors, None)
    except engine.EngineError as wrong:
        return Column(letter, typed, {"kind": str(wrong)}, None)


def _drawn(columns: list[Column]) -> list[Column]:
    """The same columns with profiles on one scale and their difference to the first in words."""
    read = [column for column in columns if column.trial]
    trials = [column.trial for column in read if column.trial]
    names = [f"{column.letter.upper()}, {column.name}" for column in read]
    drawn = {column.letter: picture.svg for column, picture in zip(read, pictures(trials, names, PLOT), strict=True)}
    first = columns[0].trial
    return [
        Column(
            c.letter, c.typed, c.errors, c.trial, drawn.get(c.letter),
            against(c.trial, first) if c.trial and first and c.trial is not first else "",
        )
        for c in columns
    ]  # fmt: skip


def share(value: float, first: float) -> str:
    """'0.4' of the first, '0.14' where one decimal says too little; nothing when the first is zero."""
    if first <= 0:
        return ""
    of_first = value / first
    return f"{of_first:.2f}" if 0 < of_first < SMALL else f"{of_first:.1f}"


def against(trial: Trial, first: Trial) -> str:
    """The difference in words: '0.4 of the time, 1.5 of the hard sets, ...'."""
    hard, base = trial.made.hard_sets, first.made.hard_sets
    low, high = share(hard.low, base.low), share(hard.high, base.high)
    counts = f" ({low} by the low and {high} by the high count)" if low != high and low and high else ""
    parts = [
        ("the time", trial.minutes, first.minutes),
        (f"the hard sets{counts}", hard.default, base.default),
        ("the volume load", trial.volume_load, first.volume_load),
        ("the fatigue now", trial.fatigue(0), first.fatigue(0)),
        ("the fatigue after 48 h", trial.fatigue(48), first.fatigue(48)),
    ]
    return ", ".join(f"{share(mine, its)} of {name}" for name, mine, its in parts if share(mine, its))


def measures(columns: list[Column]) -> list[Measure]:
    """The table's lines; a column that cannot be read has empty cells."""
    lines = [
        ("Minutes, sets and rests", "min", lambda t: t.minutes, 1, "reps x seconds, rests as written"),
        ("Minutes with set-up and warm-up", "min", lambda t: t.all_minutes, 1, "house rule"),
        ("Reps expected", "", lambda t: t.reps, 0, "model"),
        ("Volume load", "", lambda t: t.volume_load, 0, "load x reps"),
        ("Hard sets, low count", "", lambda t: t.made.hard_sets.low, 1, "house rule"),
        ("Hard sets", "", lambda t: t.made.hard_sets.default, 1, "house rule"),
        ("Hard sets, high count", "", lambda t: t.made.hard_sets.high, 1, "house rule"),
        ("Strength left at the end", "%", lambda t: 100 * t.made.sets[-1][-1].strength_after, 0, "model"),
        ("Fatigue now", "units", lambda t: t.fatigue(0), 1, "model"),
        ("Fatigue after 24 h", "units", lambda t: t.fatigue(24), 1, "model"),
        ("Fatigue after 48 h", "units", lambda t: t.fatigue(48), 1, "model"),
    ]  # fmt: skip
    first = columns[0].trial if columns else None
    made = []
    for name, unit, read, places, basis in lines:
        cells = []
        for column in columns:
            if column.trial is None:
                cells.append(("", ""))
                continue
            value = read(column.trial)
            of_first = share(value, read(first)) if first and column.trial is not first else ""
            cells.append((f"{value:.{places}f}", of_first))
        made.append(Measure(name, unit, tuple(cells), basis))
    return made
