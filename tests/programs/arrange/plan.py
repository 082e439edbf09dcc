"""A programme of several blocks with sessions and exercises, and its rows as plain values: what these tests compare."""

from typing import Any

from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import fields_of, next_redo, next_undo, undo
from programs.models import Block, PlannedExercise, PlannedSession, Program
from programs.services import subject_of
from tests.factories.programs import ExerciseFactory, PlannedExerciseFactory, PlannedSessionFactory, ProgramFactory


def made_plan(desk: Membership, **kwargs: Any) -> Program:
    """Blocks of 2, 3 and 1 weeks; three sessions of three exercises in weeks 1, 2, 4 and 6, two of them on Monday."""
    program: Program = ProgramFactory(coach=desk, weeks=2, name="Autumn block", **kwargs)
    first = program.blocks.get()
    blocks = [first, *(Block.objects.create(program=program, name=f"Block {n + 2}", first_week=w, weeks=c)
                       for n, (w, c) in enumerate(((3, 3), (6, 1))))]  # fmt: skip
    exercises = [ExerciseFactory(practice=desk.practice, name=f"Press {letter}") for letter in "ABC"]
    for week_no, block in ((1, first), (2, first), (4, blocks[1]), (6, blocks[2])):
        for name, day, position in (("Upper", 0, 1), ("Arms", 0, 2), ("Lower", 3, 1)):
            session = PlannedSessionFactory(block=block, week_no=week_no, day=day, position=position, name=name)
            for n, exercise in enumerate(exercises, start=1):
                group = "A" if n < 3 else ""
                PlannedExerciseFactory(session=session, exercise=exercise, position=n, group=group, cue=f"cue {n}")
    return program


def state() -> dict[str, Any]:
    """Every row of every programme by its fields; versions only ever rise, so they are left out."""
    rows = {}
    for model in (Program, Block, PlannedSession, PlannedExercise):
        for row in model._default_manager.order_by("pk"):
            rows[f"{model.__name__} {row.pk}"] = {k: v for k, v in fields_of(row).items() if k != "version"}
    return rows


def undone_and_redone(program: Program, by: Membership, before: dict[str, Any]) -> None:
    """One undo gives `before` exactly, one redo what stood after, and undo once more gives `before` again."""
    after = state()
    assert after != before
    for back, wanted in ((True, before), (False, after), (True, before)):
        subject = subject_of(program)
        act = next_undo(program.practice, subject) if back else next_redo(program.practice, subject)
        assert act is not None
        undo(act, by=by)
        assert state() == wanted


def last_label() -> str:
    return Act.objects.latest("id").label


def week(program: Program, week_no: int) -> list[tuple[int, int, str]]:
    """(day, position, name) of a week's sessions in order."""
    rows = PlannedSession.objects.filter(block__program=program, week_no=week_no)
    return list(rows.order_by("day", "position", "id").values_list("day", "position", "name"))


def names(session: PlannedSession) -> list[str]:
    """The exercises of a session in order, by the last letter of their names."""
    rows = PlannedExercise.objects.filter(session=session.pk).order_by("position", "id")
    return [row.exercise.name[-1] for row in rows.select_related("exercise")]


def borders(program: Program) -> list[tuple[str, int, int]]:
    """(name, first week, weeks) of its blocks in order."""
    return list(program.blocks.order_by("first_week", "id").values_list("name", "first_week", "weeks"))
