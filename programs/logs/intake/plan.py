"""From rows to a plan: which sets are new, changed or here already, what must be asked, and what stands against it."""

import hashlib
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from difflib import get_close_matches
from typing import Any

from clients.models import Client
from clients.records.cells import unguarded
from clients.selectors import today_for, visible_clients
from coachdesk.practice.models import Membership
from coachdesk.practice.text import fold
from programs.intake.cells import WrongCellError, whole
from programs.intake.reading import Row, RowError, Table, shown
from programs.logs.intake.cells import Numbers, read_numbers
from programs.logs.intake.days import order_of, read_day
from programs.logs.intake.units import doubts
from programs.logs.services.session_logs import EARLIEST, day_words
from programs.models import Exercise
from programs.selectors import exercises_by_name

MOST_WORDS = 50
LEFT_OUT = "-"


@dataclass
class Line:
    """One set of the file; `key` is what makes it the same set as another: see `sessions.py`."""

    line: int
    client: Client
    done_on: date
    session: str
    exercise: Exercise
    numbers: Numbers
    set_no: int
    state: str = "new"
    row: int | None = None

    @property
    def key(self) -> tuple[int, int, str, int]:
        return (self.exercise.pk, self.set_no, self.numbers.side, self.numbers.step_no)

    @property
    def visit(self) -> tuple[int, date, str]:
        """Which session of which client it belongs to."""
        return (self.client.pk, self.done_on, self.session)


@dataclass(frozen=True)
class Answers:
    """What the coach said on the preview: the order of days, exercise by folded wording, unit by client id."""

    order: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True)
class WordQuestion:
    """A wording that the library does not know, on how many rows, the closest names, and what was answered."""

    word: str
    rows: int
    near: tuple[str, ...]
    answer: str


@dataclass(frozen=True)
class UnitQuestion:
    """A client whose loads look like the other unit: `ratio` of what was typed to what is known of them."""

    client: Client
    written: str
    other: str
    ratio: float
    rows: int
    answer: str


@dataclass
class Plan:
    """What the file would do; `errors` stand against its rows, questions against all of it until answered."""

    lines: list[Line]
    errors: list[RowError]
    heads: dict[tuple[int, date, str], dict[str, Any]]
    order_asked: bool = False
    order: str = ""
    words: tuple[WordQuestion, ...] = ()
    matched: dict[str, int] = field(default_factory=dict)
    units: tuple[UnitQuestion, ...] = ()

    @property
    def counts(self) -> dict[str, int]:
        found = Counter(line.state for line in self.lines)
        bad = len({error.line for error in self.errors})
        return {"new": found["new"], "changed": found["changed"], "same": found["same"], "bad": bad}

    @property
    def open_questions(self) -> int:
        """How many questions still stand in the way of importing."""
        return int(self.order_asked and not self.order) + sum(1 for one in self.units if not one.answer)

    @property
    def digest(self) -> str:
        """Tells whether the plan still is the one that was shown."""
        said = [(line.line, line.client.pk, line.state, line.row, line.numbers) for line in self.lines]
        return hashlib.sha256(repr(said).encode()).hexdigest()


class Known:
    """What the practice has by the words that may name it, and what was answered."""

    def __init__(self, by: Membership, now: datetime, answers: Answers, unit: str) -> None:
        self.answers, self.unit = answers, unit
        self.exercises = exercises_by_name(by)
        self.names = sorted({row.folded for row in self.exercises.values()})
        self.clients: dict[str, list[Client]] = {}
        for client in visible_clients(by):
            self.clients.setdefault(client.folded, []).append(client)
        self.todays = {client.pk: today_for(client, now) for rows in self.clients.values() for client in rows}
        self.near: dict[str, tuple[str, ...]] = {}
        self.days: dict[tuple[str, str], date | WrongCellError] = {}
        self.unknown: Counter[str] = Counter()
        self.matched: dict[str, int] = {}
        self.order = ""
        self.counted: Counter[tuple[Any, ...]] = Counter()
        # By set the line it stands on, one for each place of its exercise.
        self.firsts: dict[tuple[Any, ...], dict[int, int]] = {}

    def exercise(self, text: str) -> Exercise:
        """By name, code, or the answer given for this wording. WrongCellError when there is none."""
        folded = fold(text[:120])
        if not folded:
            raise WrongCellError("is blank; every row needs an exercise")
        found = self._by(folded)
        if found is not None:
            return found
        self.unknown[folded] += 1
        answer = self.answers.words.get(folded, "")
        if answer == LEFT_OUT:
            raise WrongCellError("is left out, as you said below")
        found = self._by(fold(answer)) if answer else None
        if found is not None:
            self.matched[folded] = found.pk
            return found
        near = ", ".join(self.closest(folded))
        raise WrongCellError(f"is not in the exercise library{f'; the closest are {near}' if near else ''}")

    def _by(self, folded: str) -> Exercise | None:
        return self.exercises.get(folded) or self.exercises.get(folded.replace(" ", "_"))

    def closest(self, folded: str) -> tuple[str, ...]:
        if folded not in self.near and len(self.near) < MOST_WORDS:
            found = get_close_matches(folded[:80], self.names, n=3, cutoff=0.5)
            self.near[folded] = tuple(self.exercises[one].name for one in found)
        return self.near.get(folded, ())

    def client(self, text: str) -> Client:
        """A visible client by name. WrongCellError for nobody, several, or somebody archived."""
        found = self.clients.get(fold(text[:240]), []) if text else []
        if not text:
            raise WrongCellError("is blank; every row needs the client's name")
        if not found:
            raise WrongCellError("is no client of yours; add them first, or write the name as it is on the desk")
        if len(found) > 1:
            raise WrongCellError(f"could be any of {len(found)} clients called so; rename them on the desk first")
        if found[0].archived_on is not None:
            raise WrongCellError("was archived; bring them back first")
        return found[0]

    def day(self, text: str, client: Client) -> date:
        """Not in the client's future, not before 2000. WrongCellError."""
        key = (text, client.time_zone)
        if key not in self.days:
            try:
                self.days[key] = read_day(text, self.order, client.time_zone)
            except WrongCellError as problem:
                self.days[key] = problem
        found = self.days[key]
        if isinstance(found, WrongCellError):
            raise found
        if found > self.todays[client.pk]:
            raise WrongCellError(f"is {day_words(found)}, which has not come yet for this client")
        if found < EARLIEST:
            raise WrongCellError(f"is too long ago; {day_words(EARLIEST)} or later")
        return found


def make_plan(table: Table, *, by: Membership, now: datetime, answers: Answers, unit: str = "") -> Plan:
    """Check every row; what is here already is marked by `sessions.settle`. `unit`: what the load's heading says."""
    known, errors = Known(by, now, answers, unit), list(table.errors)
    order = order_of(row.cells.get("done_on", "") for row in table.rows)
    known.order = order or answers.order
    bad = {error.line for error in errors}
    plan = Plan([], errors, {}, order_asked=order == "", order=known.order)
    for row in table.rows:
        if row.line not in bad:
            row = Row(row.line, {name: unguarded(cell) for name, cell in row.cells.items()})
            line, wrong = _take(row, known, plan)
            errors.extend(RowError(row.line, c, shown(row.cells.get(c, "")), why) for c, why in wrong)
            if line is not None and not wrong:
                plan.lines.append(line)
    errors.sort(key=lambda error: error.line)
    plan.words = tuple(
        WordQuestion(word, rows, known.closest(word), answers.words.get(word, ""))
        for word, rows in sorted(known.unknown.items())[:MOST_WORDS]
    )
    plan.matched = known.matched
    plan.units = tuple(
        UnitQuestion(client, written, other, ratio, rows, answers.units.get(client.pk, ""))
        for client, written, other, ratio, rows in doubts(plan.lines)
    )
    answered = {(one.client.pk, one.written): one.answer for one in plan.units if one.answer}
    for line in plan.lines:
        said = answered.get((line.client.pk, line.numbers.unit))
        if said:
            line.numbers = with_unit(line.numbers, said)
    return plan


def with_unit(numbers: Numbers, unit: str) -> Numbers:
    """The same number in another unit: what was typed was that unit all along."""
    return replace(numbers, unit=unit)


def _take(row: Row, known: Known, plan: Plan) -> tuple[Line | None, list[tuple[str, str]]]:
    wrong: list[tuple[str, str]] = []
    found: dict[str, Any] = {}
    for column, read in (("client", known.client), ("exercise", known.exercise)):
        _try(column, read, row, found, wrong)
    if "client" in found:
        _try("done_on", lambda text: known.day(text, found["client"]), row, found, wrong)
    if "exercise" in found:
        default = known.unit or (found["client"].unit if "client" in found else "kg")
        found["numbers"], more = read_numbers(row.cells, found["exercise"], default)
        wrong += more
    head, more = _head(row)
    if wrong + more:
        return None, wrong + more
    line = _line(row, found, known.counted)
    places, place = known.firsts.setdefault((*line.visit, *line.key), {}), line.numbers.exercise_no
    if place in places or (places and 0 in (place, *places)):
        first = places.get(place, next(iter(places.values())))
        return None, [("set", f"repeats the set on line {first}; take one of the two out, or number them")]
    places[place] = row.line
    return line, _join(plan, line, head, row.cells.get("session", "")[:80])


def _try(column: str, read: Any, row: Row, found: dict[str, Any], wrong: list[tuple[str, str]]) -> None:
    try:
        found[column] = read(row.cells.get(column, ""))
    except WrongCellError as problem:
        wrong.append((column, str(problem)))


def _line(row: Row, found: dict[str, Any], counted: Counter[tuple[Any, ...]]) -> Line:
    numbers, session = found["numbers"], row.cells.get("session", "")[:80]
    visit = (found["client"].pk, found["done_on"], fold(session))
    place = (*visit, found["exercise"].pk, numbers.exercise_no, numbers.side)
    # A drop belongs to the set before it.
    counted[place] += numbers.step_no == 1 or not counted[place]
    return Line(row.line, found["client"], found["done_on"], fold(session), found["exercise"], numbers,
                numbers.set_no or counted[place])  # fmt: skip


def _head(row: Row) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    head: dict[str, Any] = {}
    wrong = []
    for column, low, high in (("minutes", 1, 600), ("rating", 0, 10)):
        if row.cells.get(column):
            try:
                head[column] = whole(row.cells[column], low, high)
            except WrongCellError as problem:
                wrong.append((column, str(problem)))
    note = row.cells.get("note", "")
    if len(note) > 2000:
        wrong.append(("note", f"is {len(note):,} characters long; at most 2,000 can be kept"))
    elif note:
        head["note"] = note
    return head, wrong


def _join(plan: Plan, line: Line, head: dict[str, Any], called: str) -> list[tuple[str, str]]:
    """What rows say of their session has to be alike."""
    there = plan.heads.setdefault(line.visit, {})
    wrong = [
        (name, f"differs from another row of this session, where it is {shown(str(there[name]))}")
        for name, value in head.items()
        if there.get(name, value) != value
    ]
    if not wrong:
        there.update(head)
        there.setdefault("name", called)
    return wrong


def clients_of(lines: Iterable[Line]) -> dict[int, Client]:
    """The clients of these lines by id."""
    return {line.client.pk: line.client for line in lines}
