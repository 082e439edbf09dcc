"""Following an exercise over the weeks: which planned exercises of a programme are the same line."""

from collections.abc import Mapping
from dataclasses import dataclass

from coachdesk import engine
from programs.arrange.kinds import Cell, Line
from programs.selectors.prescription import ExerciseView, ProgramView, SessionView

SCOPES = (
    ("exercise", "this exercise, in this session every week"),
    ("everywhere", "this exercise, in every session"),
    ("session", "every exercise of this session"),
    ("muscle", "exercises that train a muscle directly"),
    ("program", "every exercise"),
)
# (name of the session, which of that name in its week, exercise, which of it in the session)
LineKey = tuple[str, int, int, int]


@dataclass(frozen=True)
class Placed:
    """A planned exercise where it stands."""

    week_no: int
    session: SessionView
    view: ExerciseView

    @property
    def pk(self) -> int:
        return self.view.row.pk

    @property
    def words(self) -> str:
        return f"{self.session.day_name} {self.session.row.name}"


def lines_of(view: ProgramView) -> dict[LineKey, list[Placed]]:
    """Every line of the programme with its planned exercises, first week first.

    The same line: the same exercise in a session of the same name. Days may differ from week to week.
    """
    found: dict[LineKey, list[Placed]] = {}
    for week in view.weeks:
        named: dict[str, int] = {}
        for session in (s for day in week.days for s in day):
            nth = named[session.row.name] = named.get(session.row.name, -1) + 1
            seen: dict[int, int] = {}
            for one in session.exercises:
                again = seen[one.row.exercise_id] = seen.get(one.row.exercise_id, -1) + 1
                key = (session.row.name, nth, one.row.exercise_id, again)
                found.setdefault(key, []).append(Placed(week.week_no, session, one))
    return found


def line_of(lines: Mapping[LineKey, list[Placed]], pk: int) -> LineKey | None:
    """The line that a planned exercise belongs to."""
    return next((key for key, cells in lines.items() if any(cell.pk == pk for cell in cells)), None)


def in_scope(
    lines: Mapping[LineKey, list[Placed]], scope: str, *, planned: int | None = None, muscle: str = ""
) -> list[LineKey]:
    """The lines that a scope means; `planned` says which exercise and session, `muscle` which muscle."""
    own = line_of(lines, planned) if planned else None
    if scope == "program":
        return list(lines)
    if scope == "muscle":
        return [key for key, cells in lines.items() if dict(cells[0].view.prescribed.exercise.muscles).get(muscle) == 1]
    if own is None:
        return []
    if scope == "exercise":
        return [own]
    same = 2 if scope == "everywhere" else 0
    return [key for key in lines if key[same] == own[same] and (scope == "everywhere" or key[1] == own[1])]


def engine_lines(
    view: ProgramView, lines: Mapping[LineKey, list[Placed]], last_sets: Mapping[int, tuple[int, ...]] | None = None
) -> list[Line]:
    """The lines as the kinds of progression take them, in order."""
    plans = {plan.key: plan for session in view.plans for plan in session.exercises}
    made = []
    for (name, _, exercise_id, _), cells in lines.items():
        rows = tuple(_cell(one, plans[one.pk]) for one in cells)
        traits = plans[cells[0].pk].exercise
        made.append(Line(name, traits, rows, (last_sets or {}).get(exercise_id, ())))
    return made


def _cell(one: Placed, plan: engine.ExercisePlan) -> Cell:
    step = next(iter(one.view.steps), None)
    known = step.load if step is not None and step.load is not None and view_unit(plan) == step.unit else None
    return Cell(one.pk, one.week_no, plan.scheme, plan.equipment, known)


def view_unit(plan: engine.ExercisePlan) -> str:
    """The unit of the equipment a planned exercise is loaded on, or nothing."""
    return getattr(plan.equipment, "unit", "")
