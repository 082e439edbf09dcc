"""What a change to many planned exercises would do before anything is written: every cell, its loads, the flags."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from typing import Any

from clients.models import Client
from coachdesk import engine
from programs.arrange.lines import LineKey, Placed, lines_of
from programs.models import Exercise
from programs.selectors.editor import ShownFlag, shown_flags
from programs.selectors.prescription import ExerciseView, ProgramView, program_view


@dataclass(frozen=True)
class Wanted:
    """What a planned exercise shall become; None leaves a part as it is."""

    scheme: engine.Scheme | None = None
    exercise: Exercise | None = None
    cue: str | None = None


class After:
    """The programme with the changes put in, worked out when somebody looks: writing does not need it."""

    def __init__(self, before: ProgramView, wanted: Mapping[int, Wanted], on: date) -> None:
        self._before, self._wanted, self._on = before, wanted, on

    @cached_property
    def view(self) -> ProgramView:
        changed = {pk: _values(one) for pk, one in self._wanted.items()}
        return program_view(self._before.program, client=self._before.client, on=self._on, changed=changed)

    @cached_property
    def cells(self) -> dict[int, ExerciseView]:
        """Every planned exercise by id."""
        days = [day for week in self.view.weeks for day in week.days]
        return {one.row.pk: one for day in days for s in day for one in s.exercises}


@dataclass(frozen=True)
class CellChange:
    """One cell before and after, in the row's words, with the loads made for the client where known."""

    placed: Placed
    wanted: Wanted
    program: After
    notes: tuple[str, ...] = ()

    @property
    def before(self) -> ExerciseView:
        return self.placed.view

    @property
    def after(self) -> ExerciseView:
        return self.program.cells[self.placed.pk]

    @property
    def scheme(self) -> engine.Scheme:
        """The scheme it shall have."""
        return self.wanted.scheme or self.before.scheme

    @property
    def old_words(self) -> str:
        return f"{self.before.row.exercise.name}, {self.before.words}" if self.wanted.exercise else self.before.words

    @property
    def new_words(self) -> str:
        words = engine.scheme_words(self.scheme)
        return f"{self.wanted.exercise.name}, {words}" if self.wanted.exercise else words

    @property
    def cue_words(self) -> str:
        """The new cue, when it is another one."""
        return self.now["cue"] if self.now["cue"] != self.was["cue"] else ""

    @property
    def was(self) -> dict[str, Any]:
        row = self.before.row
        return {"scheme": row.scheme, "exercise_id": row.exercise_id, "cue": row.cue}

    @property
    def now(self) -> dict[str, Any]:
        row, wanted = self.before.row, self.wanted
        return {
            "scheme": engine.scheme_to_json(wanted.scheme) if wanted.scheme is not None else row.scheme,
            "exercise_id": wanted.exercise.pk if wanted.exercise is not None else row.exercise_id,
            "cue": wanted.cue if wanted.cue is not None else row.cue,
        }


@dataclass(frozen=True)
class LineChange:
    """One line's changing cells, and those left as they are with the reason."""

    title: str
    cells: tuple[CellChange, ...]
    left: tuple[tuple[int, str], ...]

    @property
    def reasons(self) -> list[tuple[str, str]]:
        """(reason, the weeks it holds for): '3, 4, 5'."""
        weeks: dict[str, list[str]] = {}
        for week_no, why in self.left:
            weeks.setdefault(why, []).append(str(week_no))
        return [(why, ", ".join(found)) for why, found in weeks.items()]


@dataclass(frozen=True)
class Preview:
    """Everything that would change, line by line; `alike`: cells that come out as they are."""

    lines: tuple[LineChange, ...]
    alike: int
    before: ProgramView
    after: After
    notes: tuple[str, ...] = ()

    @property
    def client(self) -> Client | None:
        return self.before.client

    @cached_property
    def cells(self) -> list[CellChange]:
        return [cell for line in self.lines for cell in line.cells]

    @cached_property
    def appearing(self) -> list[ShownFlag]:
        """Flags that the change would raise."""
        return _only_in(self.after.view, self.before)

    @cached_property
    def going(self) -> list[ShownFlag]:
        """Flags that would go with it."""
        return _only_in(self.before, self.after.view)

    @property
    def left_count(self) -> int:
        return sum(len(line.left) for line in self.lines)

    @property
    def weeks(self) -> list[int]:
        return sorted({cell.placed.week_no for cell in self.cells})

    @cached_property
    def digest(self) -> str:
        """Tells whether what would be written still is what was shown."""
        said = [(cell.placed.pk, cell.was, cell.now) for cell in self.cells]
        return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def preview_of(
    before: ProgramView, wanted: Mapping[int, Wanted], left: Mapping[int, str], *, on: date,
    notes: Sequence[str] = (), said: Mapping[int, tuple[str, ...]] | None = None,
) -> Preview:  # fmt: skip
    """The programme with `wanted` put in, beside how it stands; `left`: cells that stay, with the reason."""
    after = After(before, wanted, on)
    lines, alike = [], 0
    for key, cells in lines_of(before).items():
        mine = [one for one in cells if one.pk in wanted]
        moved = [CellChange(one, wanted[one.pk], after, (said or {}).get(one.pk, ())) for one in mine]
        moved = [one for one in moved if one.was != one.now]
        alike += len(mine) - len(moved)
        stays = tuple((one.week_no, left[one.pk]) for one in cells if one.pk in left)
        if moved or stays:
            lines.append(LineChange(_title(key, cells), tuple(moved), stays))
    return Preview(tuple(lines), alike, before, after, tuple(notes))


def _values(one: Wanted) -> dict[str, Any]:
    values: dict[str, Any] = {}
    if one.scheme is not None:
        values["scheme"] = engine.scheme_to_json(one.scheme)
    if one.exercise is not None:
        values["exercise"] = one.exercise
    if one.cue is not None:
        values["cue"] = one.cue
    return values


def _title(key: LineKey, cells: Sequence[Placed]) -> str:
    return f"{cells[0].view.row.exercise.name}, {cells[0].words}"


def _only_in(view: ProgramView, other: ProgramView) -> list[ShownFlag]:
    """Open flags by what they say and where; one whose numbers alone change neither appears nor goes."""
    there = {(flag.code, flag.where) for flag in other.open_flags()}
    return shown_flags(view, [flag for flag in view.open_flags() if (flag.code, flag.where) not in there])
