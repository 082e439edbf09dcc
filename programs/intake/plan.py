"""From rows to a plan: which clients would be made, which lifts recorded, and what stands against it."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from clients.models import Client, Place
from clients.selectors import visible_clients, visible_places
from coachdesk.engine import to_kg
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import coaches
from coachdesk.practice.text import fold
from programs.intake import cells
from programs.intake.cells import WrongCellError
from programs.intake.columns import CLIENT_COLUMNS, LIFT_COLUMNS
from programs.intake.reading import Row, RowError, Table, shown
from programs.models import Exercise, StrengthObservation
from programs.selectors import exercises_by_name

# Looking for the closest names is slow, and no page shows more errors than this.
MOST_HINTS = 200


@dataclass(frozen=True)
class Lift:
    """One tested lift; `load` in thousandths of `unit`. `known`: the desk has the very same test already."""

    line: int
    exercise: Exercise
    load: int
    unit: str
    reps: int
    side: str
    on: date
    known: bool = False


@dataclass
class Person:
    """One client of the file: `existing` when the desk has them already, else `fields` for a new one.

    `lines`: the line of each lift, by what makes it the same lift as another.
    """

    name: str
    line: int
    fields: dict[str, Any]
    typed: dict[str, str]
    existing: Client | None = None
    lifts: list[Lift] = field(default_factory=list)
    lines: dict[tuple[Any, ...], int] = field(default_factory=dict)

    @property
    def body_kg(self) -> float | None:
        """Body mass that lifts on the body are counted with: the desk's, for new people the file's."""
        if self.existing:
            return self.existing.body_kg
        return to_kg(self.fields["body_mass"], self.fields["body_mass_unit"]) if "body_mass" in self.fields else None

    @property
    def new_lifts(self) -> list[Lift]:
        """The lifts that the desk does not have yet."""
        return [lift for lift in self.lifts if not lift.known]


@dataclass(frozen=True)
class Plan:
    """What the file would do. Nothing is done while `errors` is not empty."""

    people: tuple[Person, ...]
    errors: tuple[RowError, ...]

    @property
    def new(self) -> list[Person]:
        """People to be made."""
        return [person for person in self.people if person.existing is None]

    @property
    def found(self) -> list[Person]:
        """People the desk has already."""
        return [person for person in self.people if person.existing is not None]

    @property
    def lift_count(self) -> int:
        """How many lifts would be recorded."""
        return sum(len(person.new_lifts) for person in self.people)

    @property
    def known_count(self) -> int:
        """How many lifts the desk has already."""
        return sum(len(person.lifts) - len(person.new_lifts) for person in self.people)

    @property
    def digest(self) -> str:
        """Tells whether the plan still is the one that was shown."""
        said = [(p.name, p.existing.pk if p.existing else 0, len(p.new_lifts)) for p in self.people]
        return hashlib.sha256(repr(said).encode()).hexdigest()


class Known:
    """What the practice has: exercises, places, coaches and clients by the words that may name them."""

    def __init__(self, by: Membership, today: date) -> None:
        self.by, self.today = by, today
        self.hints = MOST_HINTS
        self.exercises: Mapping[str, Exercise] = exercises_by_name(by)
        self.places: dict[str, Place] = {fold(place.name): place for place in visible_places(by)}
        self.coaches = {coach.user.email: coach for coach in coaches(by)}
        self.clients: dict[str, list[Client]] = {}
        for client in visible_clients(by):
            self.clients.setdefault(client.folded, []).append(client)


def make_plan(table: Table, *, by: Membership, today: date) -> Plan:
    """Check every row against the practice; errors are in the order of the file."""
    known, errors = Known(by, today), list(table.errors)
    bad_lines = {error.line for error in errors}
    people: dict[str, Person] = {}
    for row in table.rows:
        if row.line not in bad_lines:
            errors.extend(_take_row(row, people, known))
    made = _mark_known(list(people.values()))
    return Plan(tuple(made), tuple(sorted(errors, key=lambda error: error.line)))


def _take_row(row: Row, people: dict[str, Person], known: Known) -> list[RowError]:
    errors: list[RowError] = []
    name = row.cells.get("name", "")
    folded = fold(name)[:240]
    try:
        cells.name(name)
    except WrongCellError as wrong:
        return [RowError(row.line, "name", shown(name), str(wrong))]
    if folded not in people:
        people[folded] = _new_person(row, name, folded, known, errors)
    else:
        errors.extend(_differences(row, people[folded]))
    if any(row.cells.get(column) for column in LIFT_COLUMNS):
        errors.extend(_add_lift(row, people[folded], known))
    return errors


def _new_person(row: Row, name: str, folded: str, known: Known, errors: list[RowError]) -> Person:
    typed = {column: row.cells.get(column, "") for column in CLIENT_COLUMNS}
    fields, wrong = cells.client_fields(typed, known)
    errors.extend(RowError(row.line, column, shown(typed[column]), reason) for column, reason in wrong)
    same = known.clients.get(folded, [])
    if len(same) > 1:
        reason = f"could be any of {len(same)} clients called so; rename them on the desk first"
        errors.append(RowError(row.line, "name", shown(name), reason))
    return Person(name, row.line, fields, typed, same[0] if len(same) == 1 else None)


def _differences(row: Row, person: Person) -> list[RowError]:
    """Client cells of later rows must be blank or repeat the first."""
    errors = []
    for column in CLIENT_COLUMNS:
        value = row.cells.get(column, "")
        if value and value != person.typed[column]:
            first = shown(person.typed[column]) or "blank"
            reason = f"differs from line {person.line}, where it is {first}; leave it blank or make both alike"
            errors.append(RowError(row.line, column, shown(value), reason))
    return errors


def _add_lift(row: Row, person: Person, known: Known) -> list[RowError]:
    unit = person.existing.unit if person.existing else person.fields.get("unit", known.by.practice.unit)
    typed = {column: row.cells.get(column, "") for column in LIFT_COLUMNS}
    found, wrong = cells.lift_fields(typed, known, unit)
    if wrong:
        return [RowError(row.line, column, shown(typed[column]), reason) for column, reason in wrong]
    lift = Lift(row.line, **found)
    refusal = cells.moves_something(lift.exercise, lift.load, lift.unit, person.body_kg)
    if refusal:
        return [RowError(row.line, column, shown(typed[column]), reason) for column, reason in refusal]
    first = person.lines.setdefault(_key(lift), lift.line)
    if first != lift.line:
        reason = f"repeats line {first} exactly; take one of the two out"
        return [RowError(row.line, "exercise", shown(typed["exercise"]), reason)]
    person.lifts.append(lift)
    return []


def _key(lift: Lift) -> tuple[Any, ...]:
    return (lift.exercise.pk, lift.side, lift.on, lift.load, lift.unit, lift.reps)


def _mark_known(people: list[Person]) -> list[Person]:
    """Lifts that are on the desk already are not recorded twice: reading a file again changes nothing."""
    ids = [person.existing.pk for person in people if person.existing]
    tests = StrengthObservation.objects.filter(client__in=ids, is_test=True) if ids else []
    seen = {(one.client_id, one.exercise_id, one.side, one.on, one.load, one.unit, one.reps) for one in tests}
    for person in people:
        if person.existing:
            pk = person.existing.pk
            person.lifts = [Lift(**{**vars(lift), "known": (pk, *_key(lift)) in seen}) for lift in person.lifts]
    return people
