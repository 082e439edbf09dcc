"""What the cells of one set may hold: its numbers, or why not and what would be right, by column."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from clients.models import Equipment
from programs.intake import cells
from programs.intake.cells import WrongCellError
from programs.logs.forms.reading import MOST, MOST_RIR
from programs.logs.mapping import UNLOADED
from programs.models import Exercise

UNITS = {"kg": "kg", "kgs": "kg", "lb": "lb", "lbs": "lb"}
MOST_SETTING = 60
Wrong = list[tuple[str, str]]
Value = TypeVar("Value")


@dataclass(frozen=True)
class Numbers:
    """A set's numbers; load in thousandths of `unit`."""

    load: int | None
    unit: str
    setting: str
    reps: int
    rir: float | None
    side: str
    set_no: int | None


def read_numbers(typed: Mapping[str, str], exercise: Exercise, unit: str) -> tuple[Numbers | None, Wrong]:
    """(the numbers, what is wrong by column); `unit` where neither cell nor column says one."""
    reader = _Reader(typed)
    unit = reader.read("unit", lambda text: cells.choice(text, UNITS)) or unit
    reps = reader.read("reps", lambda text: cells.whole(text, 1, MOST[exercise.rep_kind]))
    rir = reader.read("rir", read_rir)
    side = reader.read("side", lambda text: cells.choice(text, cells.SIDES)) or "b"
    set_no = reader.read("set", lambda text: cells.whole(text, 1, 99))
    placed = reader.read("load", lambda text: read_load(text, exercise, unit), blank=True)
    if not typed.get("reps"):
        reader.wrong.append(("reps", f"is blank; type how many {exercise.get_rep_kind_display()} were done"))
    if reader.wrong or placed is None or reps is None:
        return None, reader.wrong
    load, setting, unit = placed
    return Numbers(load, unit, setting, reps, rir, side, set_no), []


class _Reader:
    """Reads cells one by one and keeps what is wrong."""

    def __init__(self, typed: Mapping[str, str]) -> None:
        self.typed, self.wrong = typed, Wrong()

    def read(self, column: str, read: Callable[[str], Value], *, blank: bool = False) -> Value | None:
        """The cell's value; None for a blank one (unless `blank` is read too) and for a wrong one."""
        text = self.typed.get(column, "")
        if not text and not blank:
            return None
        try:
            return read(text)
        except WrongCellError as problem:
            self.wrong.append((column, str(problem)))
            return None


def read_rir(text: str) -> float:
    """0 to 10, halves and so on, comma or point."""
    plain = text.replace(",", ".")
    if not (plain.isascii() and plain.replace(".", "", 1).isdigit() and len(plain) < 6 and float(plain) <= MOST_RIR):
        raise WrongCellError(f"is no RIR; a number from 0 to {MOST_RIR}, such as 2 or 1.5")
    return float(plain)


def read_load(text: str, exercise: Exercise, unit: str) -> tuple[int | None, str, str]:
    """(load, setting, unit): what the cell says goes before the column; blank is nothing added to the body."""
    kind = exercise.equipment_kind
    if kind in (Equipment.Kind.BAND, Equipment.Kind.MACHINE):
        if len(text) > MOST_SETTING:
            raise WrongCellError(f"is {len(text)} characters long; a setting has at most {MOST_SETTING}")
        return None, text, unit
    for ending, own in UNITS.items():
        if text.lower().endswith(ending):
            text, unit = text[: -len(ending)].strip(), own
            break
    if not text and kind in UNLOADED:
        return 0, "", unit
    if not text:
        raise WrongCellError("is blank; type the load that was lifted")
    return cells.load(text, unit, on_body=kind == Equipment.Kind.BODYWEIGHT), "", unit
