"""What a change to many planned exercises would do before anything is written: every cell, its loads, the flags."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from clients.models import Client
from coachdesk import engine
from programs.arrange.lines import LineKey, Placed, lines_of
from programs.models import Exercise, Program
from programs.selectors.editor import ShownFlag, shown_flags
from programs.selectors.prescription import ExerciseView, ProgramView, program_view

MOST_SHOWN_FLAGS = 6


@dataclass(frozen=True)
class Wanted:
    """What a planned exercise shall become; None leaves a part as it is."""

    scheme: engine.Scheme | None = None
    exercise: Exercise | None = None
    cue: str | None = None


@dataclass(frozen=True)
class CellChange:
    """One cell before and after, in the row's words, with the loads made for the client where known."""

    placed: Placed
    after: ExerciseView
    notes: tuple[str, ...] = ()

    @property
    def before(self) -> ExerciseView:
        return self.placed.view

    @property
    def old_words(self) -> str:
        return _words(self.before, self.renamed)

    @property
    def new_words(self) -> str:
        return _words(self.after, self.renamed)

    @property
    def cue_words(self) -> str:
        """The new cue, when it is another one."""
        return self.after.row.cue if self.after.row.cue != self.before.row.cue else ""

    @property
    def renamed(self) -> bool:
        """Whether another exercise takes its place."""
        return self.before.row.exercise_id != self.after.row.exercise_id

    @property
    def was(self) -> dict[str, Any]:
        return _kept(self.before)

    @property
    def now(self) -> dict[str, Any]:
        return _kept(self.after)


def _words(view: ExerciseView, named: bool) -> str:
    return f"{view.row.exercise.name}, {view.words}" if named else view.words


def _kept(view: ExerciseView) -> dict[str, Any]:
    row = view.row
    return {"scheme": row.scheme, "exercise_id": row.exercise_id, "cue": row.cue}


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
    appearing: tuple[ShownFlag, ...]
    going: tuple[ShownFlag, ...]
    client: Client | None
    notes: tuple[str, ...] = field(default=())

    @property
    def cells(self) -> list[CellChange]:
        return [cell for line in self.lines for cell in line.cells]

    @property
    def left_count(self) -> int:
        return sum(len(line.left) for line in self.lines)

    @property
    def weeks(self) -> list[int]:
        return sorted({cell.placed.week_no for cell in self.cells})

    @property
    def digest(self) -> str:
        """Tells whether what would be written still is what was shown."""
        said = [(cell.placed.pk, cell.was, cell.now) for cell in self.cells]
        return hashlib.sha256(json.dumps(said, sort_keys=True).encode()).hexdigest()


def preview_of(
    program: Program, before: ProgramView, wanted: Mapping[int, Wanted], left: Mapping[int, str], *, on: date,
    notes: Sequence[str] = (), said: Mapping[int, tuple[str, ...]] | None = None,
) -> Preview:  # fmt: skip
    """The programme with `wanted` put in, beside how it stands; `left`: cells that stay, with the reason."""
    changed = {pk: _values(one) for pk, one in wanted.items()}
    after = program_view(program, client=before.client, on=on, changed=changed)
    views = {one.row.pk: one for week in after.weeks for day in week.days for s in day for one in s.exercises}
    lines, alike = [], 0
    for key, cells in lines_of(before).items():
        mine = [one for one in cells if one.pk in wanted]
        moved = [CellChange(one, views[one.pk], (said or {}).get(one.pk, ())) for one in mine]
        moved = [one for one in moved if one.was != one.now]
        alike += len(mine) - len(moved)
        stays = tuple((one.week_no, left[one.pk]) for one in cells if one.pk in left)
        if moved or stays:
            lines.append(LineChange(_title(key, cells), tuple(moved), stays))
    new, old = (_by_place(view.open_flags()) for view in (after, before))
    return Preview(
        tuple(lines), alike, tuple(shown_flags(after, [f for k, f in new.items() if k not in old])),
        tuple(shown_flags(before, [f for k, f in old.items() if k not in new])), before.client, tuple(notes),
    )  # fmt: skip


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


def _by_place(flags: Sequence[engine.Flag]) -> dict[Any, engine.Flag]:
    """Flags by what they say and where; one whose numbers alone change neither appears nor goes."""
    return {(flag.code, flag.where): flag for flag in flags}
