"""Adding, changing, ordering and removing the exercises of a planned session."""

from collections.abc import Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q

from coachdesk import engine
from coachdesk.practice.merge import merge, values_at
from coachdesk.practice.models import Membership, Values
from coachdesk.practice.tape import fields_of, write
from programs.models import Exercise, PlannedExercise, PlannedSession
from programs.services.placing import MOST_EXERCISES, check_still_in, number_rows
from programs.services.programs import subject_of

FIRST_SCHEME = {"kind": "straight", "sets": "3", "load_kind": "effort", "load_value": "", "reps": "8", "rir": "2",
                "rest": "2 min", "ladder": ""}  # fmt: skip


def add_exercise(
    *, by: Membership, session: PlannedSession, exercise: Exercise, scheme: engine.Scheme | None = None
) -> PlannedExercise:
    """Put an exercise at the end of a session; three sets of eight with two in reserve unless told otherwise."""
    fields = dict(FIRST_SCHEME)
    if exercise.rep_kind != "reps":
        fields["reps"] = "30 s" if exercise.rep_kind == "seconds" else "20 m"
    value = scheme or engine.scheme_from_fields(fields, "kg")
    label = f"Add {exercise.name} to {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        tape.lock(session)  # two who add at once get two places
        there = session.exercises.count()
        if there >= MOST_EXERCISES:
            raise ValidationError(f"{session.name} has {there} exercises; {MOST_EXERCISES} is the most.")
        last = session.exercises.order_by("-position").values_list("position", flat=True).first() or 0
        return tape.create(
            PlannedExercise(session=session, position=last + 1, exercise=exercise, scheme=engine.scheme_to_json(value))
        )


TEXTS = ("cue", "private_note", "group")


def _flat(values: Values, unit: str) -> Values:
    """A row's columns with its scheme taken apart, so that two people's edits meet field by field."""
    texts = {name: values.get(name, "") for name in TEXTS}
    return {"exercise_id": values["exercise_id"], **texts, **_flat_scheme(values["scheme"], unit)}


def _flat_scheme(stored: dict[str, Any], unit: str) -> Values:
    try:
        return {**engine.scheme_to_fields(engine.scheme_from_json(stored), unit)}
    except engine.EngineError:
        # A scheme of several parts has no flat fields: it stands or is replaced as a whole.
        return {"kind": "series", "parts": stored}


def edit_exercise(
    *, by: Membership, planned: PlannedExercise, version: int, unit: str, fields: Mapping[str, str] | None = None,
    scheme: engine.Scheme | None = None, exercise_id: int | None = None, cue: str | None = None,
    private_note: str | None = None, group: str | None = None,
) -> PlannedExercise:  # fmt: skip
    """Change an exercise's scheme (or the engine's flat fields of it), its movement, and its TEXTS.

    Raises engine.FieldErrors for what cannot be read, StaleEdit when somebody changed the same fields.
    """
    mine_scheme = scheme or engine.scheme_from_fields(fields or {}, unit)
    session = planned.session
    label = f"Change {planned.exercise.name}, {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        row = tape.lock(planned)
        now = fields_of(row)
        mine = _flat_scheme(engine.scheme_to_json(mine_scheme), unit)
        mine["exercise_id"] = exercise_id if exercise_id is not None else row.exercise_id
        texts = {"cue": cue, "private_note": private_note, "group": group}
        mine |= {name: getattr(row, name) if text is None else text for name, text in texts.items()}
        base = now if version == row.version else values_at(row, version)
        merged = merge(row, base=_flat(base, unit) if base else None, theirs=_flat(now, unit), mine=mine)
        for name in ("exercise_id", *TEXTS):
            setattr(row, name, merged.pop(name))
        whole = merged["kind"] == "series"
        row.scheme = merged["parts"] if whole else engine.scheme_to_json(engine.scheme_from_fields(merged, unit))
        return tape.save(row)


def carry_cue(*, by: Membership, planned: PlannedExercise) -> int:
    """Give this exercise's cue to the same exercise in every later week, as one act. Gives how many changed."""
    session = planned.session
    program = session.block.program
    label = f"Carry the cue of {planned.exercise.name} on from week {session.week_no}"
    with write(label, by=by, subject=subject_of(program)) as tape:
        later = PlannedExercise.objects.filter(
            session__block__program=program, session__week_no__gt=session.week_no, exercise_id=planned.exercise_id
        ).exclude(cue=planned.cue)
        rows = tape.lock_all(later.order_by("id"))
        for row in rows:
            row.cue = planned.cue
        return tape.save_all(rows)


def set_scheme(*, by: Membership, planned: PlannedExercise, scheme: engine.Scheme) -> PlannedExercise:
    """Give an exercise this scheme, as a remedy or a copy does."""
    session = planned.session
    label = f"Change {planned.exercise.name}, {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        row = tape.lock(planned)
        row.scheme = engine.scheme_to_json(scheme)
        return tape.save(row)


def swap_exercise(*, by: Membership, planned: PlannedExercise, exercise_id: int) -> PlannedExercise:
    """Put another movement in its place, sets and reps as they are; a fixed load becomes reps with a reserve.

    ValidationError when the exercise is not ours to use, or is counted in something else than reps, seconds or metres
    as the old one is.
    """
    session, practice_id = planned.session, planned.session.block.program.practice_id
    usable = Exercise.objects.filter(Q(practice=None) | Q(practice_id=practice_id), pk=exercise_id).first()
    if usable is None:
        raise ValidationError("The exercise that was to come in has been deleted; choose another one.")
    if usable.rep_kind != planned.exercise.rep_kind:
        kinds = usable.get_rep_kind_display(), planned.exercise.get_rep_kind_display()
        raise ValidationError(f"{usable.name} is counted in {kinds[0]}, {planned.exercise.name} in {kinds[1]}.")
    label = f"Swap {planned.exercise.name} for {usable.name}, {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        row = tape.lock(planned)
        row.exercise = usable
        row.scheme = engine.scheme_to_json(engine.without_fixed_loads(engine.scheme_from_json(row.scheme)))
        return tape.save(row)


def add_cue(*, by: Membership, planned: PlannedExercise, words: str) -> PlannedExercise:
    """Write words behind the cue of a planned exercise; the cue is cut at its longest, the new words kept whole."""
    session, longest = planned.session, PlannedExercise._meta.get_field("cue").max_length or 200
    label = f"Add a cue to {planned.exercise.name}, {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        row = tape.lock(planned)
        room = longest - len(words) - 2
        row.cue = f"{row.cue[:room]}; {words}" if row.cue else words
        return tape.save(row)


def move_exercise(*, by: Membership, planned: PlannedExercise, up: bool) -> None:
    """One place earlier or later within its session; at the edge nothing happens. Raises Gone when it was deleted."""
    session = planned.session
    with write(
        f"Move {planned.exercise.name} {'up' if up else 'down'}, {session.name}, week {session.week_no}",
        by=by, subject=subject_of(session.block.program),
    ) as tape:  # fmt: skip
        tape.lock(session)
        check_still_in(tape.lock(planned), session)
        rows = sorted(session.exercises.all(), key=lambda e: (e.position, e.pk))
        index = next(n for n, row in enumerate(rows) if row.pk == planned.pk)
        other = index - 1 if up else index + 1
        if 0 <= other < len(rows):
            rows[index], rows[other] = rows[other], rows[index]
        number_rows(tape, rows)


def remove_exercise(*, by: Membership, planned: PlannedExercise) -> None:
    """Take an exercise out of its session; what was logged stays, and undo brings it back."""
    session = planned.session
    label = f"Delete {planned.exercise.name} from {session.name}, week {session.week_no}"
    with write(label, by=by, subject=subject_of(session.block.program)) as tape:
        tape.delete(planned)
