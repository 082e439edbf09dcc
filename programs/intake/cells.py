"""What one cell may hold: each reader gives the value, or says why not and what would be right."""

import re
from collections.abc import Callable, Mapping
from datetime import date
from difflib import get_close_matches
from functools import lru_cache
from typing import Any, Protocol

from clients.models import Client, Equipment, Place
from clients.notation import NotationError, parse_body_mass
from coachdesk.engine import EngineError, format_load, parse_added, parse_load
from coachdesk.practice.models import Membership
from coachdesk.practice.text import fold
from programs.intake.columns import MOST_REPS
from programs.mapping import body_load
from programs.models import Exercise

EARLIEST_TEST = date(1990, 1, 1)
EARLIEST_BIRTH = date(1910, 1, 1)
_DATE = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})|(\d{1,2})\.(\d{1,2})\.(\d{4})", re.ASCII)
SIDES = {"": "b", "both": "b", "b": "b", "left": "l", "l": "l", "right": "r", "r": "r"}
GOALS = {
    **{code: code for code in Client.Goal.values},
    **{label: code for code, label in Client.Goal.choices},
}


class WrongCellError(ValueError):
    """Why a cell cannot be used, as the end of a sentence that begins with its value."""


class KnownWords(Protocol):
    """What the practice has, by the words that may name it."""

    by: Membership
    today: date
    hints: int
    exercises: Mapping[str, Exercise]
    places: dict[str, Place]
    coaches: dict[str, Membership]


def name(text: str) -> str:
    """A client's name of 1 to 120 characters with a letter in it."""
    if not text:
        raise WrongCellError("is blank; every row needs the client's name")
    if len(text) > 120:
        raise WrongCellError(f"is {len(text)} characters long; at most 120 can be kept")
    if not any(char.isalnum() for char in fold(text)):
        raise WrongCellError("holds no letter")
    return text


def day(text: str, earliest: date, latest: date) -> date:
    """A date written 1984-03-31 or 31.03.1984, within the bounds."""
    found = _DATE.fullmatch(text)
    if not found:
        raise WrongCellError("is no date; write it like 1984-03-31 or 31.03.1984")
    year, month, day_no = (found[1], found[2], found[3]) if found[1] else (found[6], found[5], found[4])
    try:
        made = date(int(year), int(month), int(day_no))
    except ValueError:
        raise WrongCellError("is a day that does not exist; write one like 1984-03-31") from None
    if not earliest <= made <= latest:
        raise WrongCellError(f"is not from {earliest.isoformat()} to {latest.isoformat()}")
    return made


def whole(text: str, low: int, high: int) -> int:
    """A whole number within the bounds; '3.0' counts as 3, as spreadsheets write it."""
    digits = re.sub(r"[.,]0+$", "", text)
    if not (digits.isascii() and digits.isdigit() and len(digits) < 6 and low <= int(digits) <= high):
        raise WrongCellError(f"is not a whole number from {low} to {high}")
    return int(digits)


def choice(text: str, words: Mapping[str, str]) -> str:
    """One of a few words, whatever the case."""
    folded = fold(text)
    if folded not in words:
        raise WrongCellError("is not one of " + ", ".join(dict.fromkeys(word for word in words if len(word) > 1)))
    return words[folded]


def body_mass(text: str, unit: str) -> tuple[int, str]:
    """(thousandths, unit) of a body mass; the unit typed beside it goes first."""
    try:
        return parse_body_mass(text, unit)
    except NotationError as problem:
        raise WrongCellError(f"cannot be kept: {problem}") from None


def load(text: str, unit: str, *, on_body: bool = False) -> int:
    """Thousandths of the unit, above 0; `on_body`: what was added, 0 for none and assistance below."""
    if on_body:
        try:
            return parse_added(text, unit)
        except EngineError as problem:
            raise WrongCellError(f"is no load in {unit}; it should be {problem.right}") from None
    try:
        thousandths = parse_load(text, unit).thousandths
    except EngineError as problem:
        raise WrongCellError(f"is no load in {unit}; it should be {problem.right}") from None
    if thousandths <= 0:
        raise WrongCellError("is not above 0; leave out lifts without a load")
    return int(thousandths)


def exercise(text: str, known: KnownWords) -> Exercise:
    """An exercise by its folded name or its code; the closest names are offered otherwise."""
    folded = fold(text)
    found = known.exercises.get(folded) or known.exercises.get(folded.replace(" ", "_"))
    if found is None:
        known.hints -= 1
        names = sorted(row.name for row in set(known.exercises.values())) if known.hints >= 0 else []
        near = _close(folded, tuple(names)) if names else ()
        raise WrongCellError(
            "is not in the exercise library" + (f"; the closest are {', '.join(near)}" if near else "")
        )
    if found.rep_kind != Exercise.RepKind.REPS:
        raise WrongCellError(f"is counted in {found.rep_kind}, so it has no tested maximum")
    return found


@lru_cache(maxsize=512)
def _close(folded: str, names: tuple[str, ...]) -> tuple[str, ...]:
    by_fold = {fold(one): one for one in names}
    return tuple(by_fold[one] for one in get_close_matches(folded[:80], by_fold, n=3, cutoff=0.5))


def place(text: str, known: KnownWords) -> Place:
    """A place of the practice by its name."""
    found = known.places.get(fold(text))
    if found is None:
        there = ", ".join(one.name for one in list(known.places.values())[:5]) or "none yet"
        raise WrongCellError(f"is no place of this practice (there is: {there}); add it first, or leave the cell blank")
    return found


def coach(text: str, known: KnownWords) -> Membership:
    """A coach by e-mail address; only the owner may name somebody else."""
    found = known.coaches.get(text.strip().lower())
    if found is None:
        raise WrongCellError("is not the address of a coach of this practice")
    if found.pk != known.by.pk and known.by.role != Membership.Role.OWNER:
        raise WrongCellError("is another coach; only the owner of the practice can give clients to others")
    return found


def client_fields(typed: Mapping[str, str], known: KnownWords) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    """(fields for `create_client`, what is wrong by column). Blank cells are left out."""
    youngest = known.today.replace(year=known.today.year - 6, day=1)
    levels = {code: code for code in Client.Level.values}
    readers: dict[str, Callable[[str], Any]] = {
        "coach": lambda text: coach(text, known),
        "born_on": lambda text: day(text, EARLIEST_BIRTH, youngest),
        "goal": lambda text: choice(text, GOALS),
        "level": lambda text: choice(text, levels),
        "training_since_on": lambda text: day(text, EARLIEST_BIRTH, known.today),
        "days_per_week": lambda text: whole(text, 1, 7),
        "minutes_per_session": lambda text: whole(text, 10, 240),
        "unit": lambda text: choice(text, {"kg": "kg", "lb": "lb"}),
        "place": lambda text: place(text, known),
        "consent_on": lambda text: day(text, EARLIEST_TEST, known.today),
        "body_mass_on": lambda text: day(text, EARLIEST_TEST, known.today),
        "notes": str,
    }
    fields, wrong = _read(typed, readers)
    unit = fields.get("unit", known.by.practice.unit)
    masses, wrong_mass = _read(typed, {"body_mass": lambda text: body_mass(text, unit)})
    wrong += wrong_mass
    if masses:
        fields["body_mass"], fields["body_mass_unit"] = masses["body_mass"]
        if not typed.get("consent_on"):
            wrong.append(
                ("body_mass", "is kept only with consent; give the day they agreed in consent_on, or leave it")
            )
    elif typed.get("body_mass_on") and not wrong_mass:
        wrong.append(("body_mass_on", "says when, but body_mass is blank; give both or neither"))
    if fields.get("born_on") and fields.get("training_since_on", known.today) < fields["born_on"]:
        wrong.append(("training_since_on", "lies before the birth date"))
    return fields, wrong


def lift_fields(typed: Mapping[str, str], known: KnownWords, unit: str) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    """(fields of a Lift, what is wrong by column)."""
    missing = [(column, "is blank; a lift needs exercise, load and reps")
               for column in ("exercise", "load", "reps") if not typed[column]]  # fmt: skip
    given, wrong_unit = _read(typed, {"load_unit": lambda text: choice(text, {"kg": "kg", "lb": "lb"})})
    unit = given.get("load_unit", unit)
    named, wrong_name = _read(typed, {"exercise": lambda text: exercise(text, known)})
    on_body = bool(named) and named["exercise"].equipment_kind == Equipment.Kind.BODYWEIGHT
    readers: dict[str, Callable[[str], Any]] = {
        "load": lambda text: load(text, unit, on_body=on_body),
        "reps": lambda text: whole(text, 1, MOST_REPS),
        "side": lambda text: choice(text, SIDES),
        "tested_on": lambda text: day(text, EARLIEST_TEST, known.today),
    }
    fields, wrong = _read(typed, readers)
    made = {
        "exercise": named.get("exercise"), "load": fields.get("load"), "unit": unit,
        "reps": fields.get("reps"),
        "side": fields.get("side", "b"), "on": fields.get("tested_on", known.today),
    }  # fmt: skip
    return made, missing + wrong_unit + wrong_name + wrong


def moves_something(exercise: Exercise, load: int, unit: str, body_kg: float | None) -> list[tuple[str, str]]:
    """What stands against a lift: a body of unknown mass, nothing left to move. (column, reason), none when fine."""
    body = body_load(exercise, body_kg, unit)
    if body is None and not exercise.body_share:
        return [("exercise", "is loaded by the body alone, so no maximum is worked out of it")]
    if body is None:
        return [("exercise", "moves the body, whose mass the desk does not know; give body_mass on the client's line")]
    if load + body <= 0:
        return [("load", f"leaves nothing to move of {format_load(body)} {unit} of the body")]
    return []


def _read(
    typed: Mapping[str, str], readers: Mapping[str, Callable[[str], Any]]
) -> tuple[dict[str, Any], list[tuple[str, str]]]:
    values: dict[str, Any] = {}
    wrong = []
    for column, reader in readers.items():
        if typed.get(column):
            try:
                values[column] = reader(typed[column])
            except WrongCellError as problem:
                wrong.append((column, str(problem)))
    return values, wrong
