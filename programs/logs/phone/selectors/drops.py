"""What may stand for the last exercise's straight sets where time is short: one set with drops."""

from coachdesk import engine
from programs.logs.phone.selectors.rows import Lift
from programs.logs.phone.selectors.session import Session
from programs.mapping import scheme_of
from programs.models import PlannedExercise
from programs.selectors.prescription import Shown, program_view


def drops_for(session: Session, lift: Lift, sets: int) -> tuple[engine.DropSet, ...]:
    """What may stand for the `sets` left of this exercise, most drops first; () where its plan is another by now."""
    sheet, body = session.sheet, lift.body
    planned = sheet.planned_session
    if planned is None or sets < 2 or not _may(session, lift):
        return ()
    row = PlannedExercise.objects.filter(pk=body["planned_exercise"], session=planned).first()
    if row is None or row.exercise_id != lift.exercise or engine.scheme_words(scheme_of(row)) != body["scheme"]:
        return ()
    program = planned.block.program
    view = program_view(program, client=sheet.client, on=sheet.for_on, shown=Shown(planned.pk))
    plan = next((one for one in view.plans if one.key == planned.pk), None)
    if plan is None or plan.exercises[-1].key != row.pk:
        return ()
    found = engine.drop_sets(view.plans, planned.pk, sets, view.traits, view.rules, view.context)
    return tuple(one for one in found if all(bout.load for bout in one.bouts))


def _may(session: Session, lift: Lift) -> bool:
    """What the sheet itself says against it, so that most pages need not look at the plan."""
    last = max(one.position for one in session.lifts)
    steps = lift.body["steps"]
    straight = all(step["step"] == 1 and step["load"] and step["rep_kind"] == "reps" for step in steps)
    return lift.position == last and straight and not (lift.instead_of or lift.turn or lift.body["spotter"])


def drop_words(lift: Lift, found: engine.DropSet, sets: int) -> str:
    """'Curl: 1 set with 2 drops instead of 3 sets: 20 kg, then at once 15 kg x about 9 and 12.5 kg x about 8, ...'."""
    drops = " and ".join(
        f"{engine.load_in_words(bout.load or 0, bout.unit)} x about {int(bout.expected_reps or bout.reps_low)}"
        for bout in found.bouts[1:]
    )
    count, rir = len(found.bouts) - 1, min(bout.effort_rir or 0 for bout in found.bouts)
    more = f"1 set with {count} drop{'' if count == 1 else 's'} instead of {sets} sets"
    return f"{lift.name}: {more}: after the set at once {drops}, each stopped with {rir:g} in reserve"


def drop_place(lift: Lift, found: engine.DropSet) -> str:
    """As the phone sends it back: the exercise's position and the loads of its drops, '3-15000-12500'."""
    return "-".join(map(str, (lift.position, *(bout.load for bout in found.bouts[1:]))))
