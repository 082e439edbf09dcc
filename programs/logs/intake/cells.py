"""What the cells of one set may hold: its numbers, or why not and what would be right, by column."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from clients.models import Equipment
from coachdesk.practice.text import fold
from programs.intake import cells
from programs.intake.cells import WrongCellError
from programs.logs.forms.reading import MOST, MOST_RIR
from programs.logs.mapping import UNLOADED
from programs.models import Exercise

_NOTHING = re.compile(r"0+(?:[.,]0+)?")
# How an export says that a load was not written down, which is not a load of 0.
NOT_NOTED = "not noted"
YES_NO = {"yes": "yes", "y": "yes", "no": "no", "n": "no"}
UNITS = {"kg": "kg", "kgs": "kg", "lb": "lb", "lbs": "lb"}
MOST_SETTING = 60
Wrong = list[tuple[str, str]]
Value = TypeVar("Value")


@dataclass(frozen=True)
class Numbers:
    """A set's numbers; load in thousandths of `unit`.

    `set_no` None: to be counted; `exercise_no` 0 and `failed` None: not said.
    """

    load: int | None
    unit: str
    setting: str
    reps: int
    rir: float | None
    side: str
    set_no: int | None
    step_no: int = 1
    exercise_no: int = 0
    failed: bool | None = None


def read_numbers(typed: Mapping[str, str], exercise: Exercise, unit: str) -> tuple[Numbers | None, Wrong]:
    """(the numbers, what is wrong by column); `unit` where neither cell nor column says one."""
    reader = _Reader(typed)
    unit = reader.read("unit", lambda text: cells.choice(text, UNITS)) or unit
    rir = reader.read("rir", read_rir)
    failed = reader.read("failed", lambda text: cells.choice(text, YES_NO) == "yes")
    # Only who failed may have done none at all.
    least = 0 if failed or rir == 0 else 1
    reps = reader.read("reps", lambda text: cells.whole(text, least, MOST[exercise.rep_kind]))
    side = reader.read("side", lambda text: cells.choice(text, cells.SIDES)) or "b"
    set_no = reader.read("set", lambda text: cells.whole(text, 1, 99))
    step_no = reader.read("step", lambda text: cells.whole(text, 1, 99)) or 1
    exercise_no = reader.read("exercise_no", lambda text: cells.whole(text, 1, 999)) or 0
    setting = reader.read("setting", read_setting) or ""
    placed = reader.read("load", lambda text: read_load(text, exercise, unit, setting), blank=True)
    if not typed.get("reps"):
        reader.wrong.append(("reps", f"is blank; type how many {exercise.get_rep_kind_display()} were done"))
    if reader.wrong or placed is None or reps is None:
        return None, reader.wrong
    load, setting, unit = placed
    return Numbers(load, unit, setting, reps, rir, side, set_no, step_no, exercise_no, failed), []


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


def read_setting(text: str) -> str:
    """The band, or the place on a machine."""
    if len(text) > MOST_SETTING:
        raise WrongCellError(f"is {len(text)} characters long; a setting has at most {MOST_SETTING}")
    return text


def read_load(text: str, exercise: Exercise, unit: str, setting: str = "") -> tuple[int | None, str, str]:
    """(load, setting, unit): what the cell says goes before the column; blank is nothing added to the body."""
    kind = exercise.equipment_kind
    if setting and text:
        raise WrongCellError(f"stands beside the setting '{setting}'; keep one of the two")
    if setting or fold(text) == NOT_NOTED:
        return None, setting, unit
    if kind in (Equipment.Kind.BAND, Equipment.Kind.MACHINE):
        return None, read_setting(text), unit
    for ending, own in UNITS.items():
        if text.lower().endswith(ending):
            text, unit = text[: -len(ending)].strip(), own
            break
    if not text and kind in UNLOADED:
        return 0, "", unit
    if not text:
        raise WrongCellError("is blank; type the load that was lifted")
    # As in a log that is typed: 0 is a load where nothing was put on.
    return (
        (0 if _NOTHING.fullmatch(text) else cells.load(text, unit, on_body=kind == Equipment.Kind.BODYWEIGHT)),
        "",
        unit,
    )
