"""From a prescribed session to stints on a clock: what each exercise holds of a place's equipment, and how many."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from clients.models import Equipment, Place
from coachdesk import engine
from coachdesk.practice.text import fold
from programs.mapping import exercise_traits, piece_for
from programs.models import Exercise, PlannedExercise, PlannedSession

# A pair is two; one-handed work takes one of it.
PAIR = 2
# One row stands for all the stacks of a place, unless it is named as the exercise is.
MACHINES = ("stack", "machine")


@dataclass(frozen=True)
class Item:
    """One thing that only so many can use at once: its key, its name, how many there are, and that in words."""

    key: str
    name: str
    count: int
    words: str


def _item(key: str, name: str, row: Equipment) -> Item:
    return Item(key, name, row.count, f"{row.count} there")


def rounds(session: PlannedSession) -> list[list[PlannedExercise]]:
    """Planned exercises in order, those of one superset together; the first of each names the stint."""
    made: list[list[PlannedExercise]] = []
    by_letter: dict[str, list[PlannedExercise]] = {}
    for row in sorted(session.exercises.all(), key=lambda one: (one.position, one.pk)):
        if row.group in by_letter:
            by_letter[row.group].append(row)
            continue
        made.append([row])
        if row.group:
            by_letter[row.group] = made[-1]
    return made


def pieces_of(place: Place | None) -> list[Equipment]:
    """A place's equipment in the order it was added."""
    return sorted(place.equipment.all(), key=lambda row: row.pk) if place else []


def piece_row(pieces: Sequence[Equipment], exercise: Exercise) -> Equipment | None:
    """The row that loads of an exercise are made on, by the rule of `programs.mapping.piece_for`."""
    kit: dict[str, tuple[Equipment, ...]] = {}
    for row in pieces:
        kit[row.kind] = (*kit.get(row.kind, ()), row)
    found: Equipment | None = piece_for(kit, exercise_traits(exercise))
    return found


def items_of(
    prescribed: engine.PrescribedExercise, row: PlannedExercise, pieces: Sequence[Equipment]
) -> list[tuple[Item, int]]:
    """What one exercise holds while it is done, working sets alone: warm-ups are short and give way.

    A bar is a bar; dumbbells and fixed bars are told apart by load; a stack is the machine of its exercise. Body
    weight needs nothing that another could be waiting for.
    """
    made_on = piece_row(pieces, row.exercise)
    if made_on is None or made_on.kind == Equipment.Kind.BODYWEIGHT:
        return []
    name = made_on.name
    if made_on.kind == Equipment.Kind.BARBELL:
        return [(_item(f"{made_on.pk}", name, made_on), 1)]
    if made_on.kind in MACHINES and fold(made_on.name) == fold(row.exercise.name):
        return [(_item(f"{made_on.pk}", name, made_on), 1)]
    if made_on.kind in MACHINES:
        return [(_item(f"{made_on.pk}-{row.exercise_id}", f"the stack for {row.exercise.name}", made_on), 1)]
    steps = [step for one in prescribed.sets for step in one]
    if made_on.kind == Equipment.Kind.BAND:
        return [(_item(f"{made_on.pk}-{n}", f"{name}, {setup}", made_on), 1) for n, setup in _places(steps)]
    loads = sorted({(step.load, step.unit) for step in steps if step.load is not None})
    if made_on.kind == Equipment.Kind.DUMBBELL:
        return [(_dumbbells(made_on, load, unit), row.exercise.implements) for load, unit in loads]
    return [(_item(f"{made_on.pk}-{load}", f"the {_load(load, unit)} bar", made_on), 1) for load, unit in loads]


def _load(load: int, unit: str) -> str:
    return f"{engine.format_load(load)} {unit}"


def _dumbbells(made_on: Equipment, load: int, unit: str) -> Item:
    pairs = "1 pair there" if made_on.count == 1 else f"{made_on.count} pairs there"
    return Item(f"{made_on.pk}-{load}", f"the {_load(load, unit)} dumbbells", PAIR * made_on.count, pairs)


def _places(steps: Iterable[engine.PrescribedStep]) -> list[tuple[int, str]]:
    return sorted({(step.places, step.setup) for step in steps if step.places is not None})


def stints_of(
    session: PlannedSession, prescribed: engine.PrescribedSession, pieces: Sequence[Equipment]
) -> tuple[list[engine.Stint], dict[str, Item]]:
    """The session as stints on a clock, and every item that they need by its key."""
    by_row = {one.key: one for one in prescribed.exercises}
    known: dict[str, Item] = {}
    made = []
    for rows in rounds(session):
        needs: dict[str, int] = {}
        for row in rows:
            for item, many in items_of(by_row[row.pk], row, pieces):
                known[item.key] = item
                # The exercises of a superset are done in turn: one bar serves all of them.
                needs[item.key] = max(many, needs.get(item.key, 0))
        seconds = sum(by_row[row.pk].seconds for row in rows)
        made.append(engine.Stint(rows[0].pk, seconds, tuple(needs.items())))
    return made, known


def starts_of(stints: Sequence[engine.Stint], session: PlannedSession) -> dict[int, tuple[float, float]]:
    """(start, end) in seconds of every planned exercise; those of a superset share the span of their stint."""
    made: dict[int, tuple[float, float]] = {}
    at = 0.0
    for stint, rows in zip(stints, rounds(session), strict=True):
        made |= {row.pk: (at, at + stint.seconds) for row in rows}
        at += stint.seconds
    return made
