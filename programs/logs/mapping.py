"""From an issued sheet's JSON and set-log rows to plain values: what was planned, what was done, what failed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any
from uuid import UUID, uuid5

from clients.models import Equipment
from coachdesk import engine
from programs.logs.models import SetLog
from programs.mapping import body_load
from programs.models import Exercise

# What may be done without a load in kg or lb.
UNLOADED = (Equipment.Kind.BODYWEIGHT, Equipment.Kind.BAND, Equipment.Kind.MACHINE)
LABELS = {"reps": "reps", "seconds": "s", "metres": "m"}


@dataclass(frozen=True)
class SheetStep:
    """One prescribed step of a sheet; load in thousandths of `unit`, None where only a set-up is prescribed.

    `stands_in`: the step of another exercise done instead, of which only the reps were planned; `needs_load`: and it
    has a load to type.

    Loads below 0 are assistance, which only what is `on_body` may have; `body_load`: what the body adds, None when it
    is no part of it or not known. `settings` are the names that equipment without units has.
    """

    exercise: int
    position: int
    set_no: int
    step_no: int
    side: str
    unit: str
    load: int | None
    setup: str
    reps_low: int | None
    reps_high: int | None
    to_failure: bool
    rep_kind: str
    expected_reps: float | None
    rir: float | None
    strength_before: float
    body_load: int | None = None
    on_body: bool = False
    settings: tuple[str, ...] = ()
    stands_in: bool = False
    needs_load: bool = False

    @property
    def setting(self) -> str:
        """The planned setting of equipment without units; nothing elsewhere, or when it is left to be felt."""
        return self.setup if self.setup in self.settings else ""

    @property
    def slot(self) -> str:
        """The step's place in the sheet, such as '2-1-1-b': part of form field names and of derived keys."""
        return f"{self.position}-{self.set_no}-{self.step_no}-{self.side}"

    @property
    def written_reps(self) -> int | None:
        """Reps that 'done as written' stands for: the lower end of a range; to failure, what is expected, rounded down.

        None when the sheet gives no number at all, so that it must be typed.
        """
        if self.reps_low and not self.to_failure:
            return self.reps_low
        return int(self.expected_reps) if self.expected_reps and self.expected_reps >= 1 else None

    @property
    def planned_rir(self) -> float | None:
        return 0.0 if self.to_failure else self.rir

    @property
    def reps_words(self) -> str:
        """'8', '6-8', 'failure', '30 s' or '20 m', as the sheet says it."""
        if self.to_failure:
            return "failure"
        if not self.reps_low:
            return ""
        low, high = self.reps_low, self.reps_high or self.reps_low
        number = str(low) if low == high else f"{low}-{high}"
        return number if self.rep_kind == "reps" else f"{number} {LABELS[self.rep_kind]}"


@dataclass(frozen=True)
class SheetExercise:
    """One exercise of a sheet with its steps in order."""

    position: int
    exercise: int
    name: str
    scheme: str
    machine: str
    implements: int
    steps: tuple[SheetStep, ...]


def sheet_exercises(body: Mapping[str, Any]) -> tuple[SheetExercise, ...]:
    """The exercises of an issued sheet's body, in order; a body of another version than 1 is a ValueError."""
    if body.get("v") != 1:
        raise ValueError(f"Sheet format {body.get('v')!r} cannot be read; it should be 1.")
    return tuple(_exercise(one) for one in sorted(body["exercises"], key=lambda one: one["position"]))


def _exercise(one: Mapping[str, Any]) -> SheetExercise:
    steps = tuple(
        SheetStep(
            exercise=one["exercise"], position=one["position"], set_no=s["set"], step_no=s["step"],
            side=s.get("side", "b"), unit=s["unit"], load=s["load"], setup=s.get("setup", ""),
            reps_low=s["reps_low"], reps_high=s["reps_high"], to_failure=s["to_failure"],
            rep_kind=s.get("rep_kind", "reps"), expected_reps=s.get("expected_reps"), rir=s.get("rir"),
            strength_before=s.get("strength_before", 1.0), body_load=one.get("body_load"),
            on_body=one.get("on_body", False), settings=tuple(one.get("settings", ())),
        )
        for s in one["steps"]
    )  # fmt: skip
    return SheetExercise(
        one["position"], one["exercise"], one["name"], one.get("scheme", ""), one.get("machine", ""),
        one.get("implements", 1), steps,
    )  # fmt: skip


def with_stand_in(step: SheetStep, instead: Exercise, body_kg: float | None) -> SheetStep:
    """The step as it is done with another exercise: its reps and RIR stay, its load and set-up do not."""
    kind = instead.equipment_kind
    return replace(
        step, exercise=instead.pk, load=None, setup="", settings=(), expected_reps=None, rep_kind=instead.rep_kind,
        reps_low=step.reps_low if instead.rep_kind == step.rep_kind else None, strength_before=1.0,
        body_load=body_load(instead, body_kg, step.unit), on_body=kind == Equipment.Kind.BODYWEIGHT,
        stands_in=True, needs_load=kind not in UNLOADED,
    )  # fmt: skip


def unplanned_step(
    exercise: Exercise, position: int, set_no: int = 1, side: str = "b", *, unit: str, body_kg: float | None,
    settings: tuple[str, ...] = (),
) -> SheetStep:  # fmt: skip
    """A step that no sheet plans, ready to be typed; `settings`: those that were typed of it before."""
    bare = SheetStep(
        exercise=exercise.pk, position=position, set_no=set_no, step_no=1, side=side, unit=unit, load=None, setup="",
        reps_low=None, reps_high=None, to_failure=False, rep_kind=exercise.rep_kind, expected_reps=None, rir=None,
        strength_before=1.0,
    )  # fmt: skip
    return replace(with_stand_in(bare, exercise, body_kg), settings=settings)


@dataclass(frozen=True)
class DoneStep:
    """One step as it was done, ready to become a SetLog; loads in thousandths of `unit`."""

    exercise: int
    position: int
    set_no: int
    step_no: int
    side: str
    rep_kind: str
    unit: str
    load: int | None
    reps: int
    rir: float | None
    planned_load: int | None = None
    planned_reps: int | None = None
    planned_rir: float | None = None
    as_written: bool = False
    failed: bool = False
    body_load: int | None = None
    setting: str = ""

    @property
    def slot(self) -> str:
        return f"{self.position}-{self.set_no}-{self.step_no}-{self.side}"


def missed(*, load: int | None, reps: int, rir: float | None, planned_load: int | None, planned_reps: int | None,
           planned_rir: float | None) -> bool:  # fmt: skip
    """Whether a step ended in failure: typed RIR 0, a step to failure, or fewer reps than planned at no more load.

    Fewer reps at a heavier load is the lifter's choice and says nothing.
    """
    if rir is not None:
        return rir == 0
    if planned_rir == 0:
        return True
    if planned_reps is None or reps >= planned_reps:
        return False
    return load is None or planned_load is None or load <= planned_load


def done_as_written(step: SheetStep, *, rir: float | None = None) -> DoneStep | None:
    """The step done exactly as the sheet says, or None when the sheet gives no number of reps."""
    reps = step.written_reps
    if reps is None:
        return None
    return _done(step, load=step.load, reps=reps, rir=rir, as_written=True, setting=step.setting)


def done_otherwise(
    step: SheetStep, *, load: int | None, reps: int, rir: float | None, setting: str | None = None
) -> DoneStep:
    """The step with typed numbers; `setting` None is the planned one."""
    setting = step.setting if setting is None else setting
    if load is None and step.stands_in and step.on_body:
        # The body alone: a load of 0, which says something about strength as no load does not.
        load = 0
    return _done(step, load=load, reps=reps, rir=rir, as_written=False, setting=setting)


def _done(
    step: SheetStep, *, load: int | None, reps: int, rir: float | None, as_written: bool, setting: str
) -> DoneStep:
    plan = {"planned_load": step.load, "planned_reps": step.written_reps, "planned_rir": step.planned_rir}
    failed = missed(load=load, reps=reps, rir=rir, **plan)  # type: ignore[arg-type]
    return DoneStep(
        exercise=step.exercise, position=step.position, set_no=step.set_no, step_no=step.step_no, side=step.side,
        rep_kind=step.rep_kind, unit=step.unit, load=load, reps=reps, rir=rir, as_written=as_written,
        body_load=step.body_load, setting=setting,
        failed=failed and not (as_written and rir is None), **plan,  # type: ignore[arg-type]
    )  # fmt: skip


def set_key(session_key: UUID, slot: str) -> UUID:
    """The key of a step logged from a page: the same step of the same session always gets the same key."""
    return uuid5(session_key, f"set {slot}")


def sheet_key(sheet_uid: UUID, *, skipped: bool = False) -> UUID:
    """The key of a sheet's session log: two tabs on one sheet make one log."""
    return uuid5(sheet_uid, "skipped" if skipped else "session")


def effort_left(row: SetLog) -> float | None:
    """Reps in reserve at the end of a logged step: typed, or 0 after a failure, else what the plan implies.

    Without any plan it is None: unknown. More reps than planned leave fewer, at the planned load or more.
    """
    if row.rir is not None:
        return row.rir
    if row.failed:
        return 0.0
    if row.planned_rir is None:
        return None
    over = row.reps - row.planned_reps if row.planned_reps is not None else 0
    return max(0.0, row.planned_rir - over)


def done_step(row: SetLog) -> engine.PrescribedStep:
    """A logged step as the engine's value, for counting: the reps done, and the reserve that was left."""
    return engine.PrescribedStep(
        set_no=row.set_no, step_no=row.step_no, side=row.side, load=row.load, unit=row.unit, setup="", plates=(),
        places=None, fraction=None, reps_low=row.reps, reps_high=row.reps, to_failure=row.failed,
        rep_kind=row.rep_kind, expected_reps=float(row.reps), rir=effort_left(row), rir_expected=None, rest_s=0.0,
        strength_before=1.0, strength_after=1.0, impulse=0.0,
    )  # fmt: skip


def by_set(rows: Iterable[SetLog]) -> dict[tuple[int, int, int, str], list[SetLog]]:
    """Logged steps grouped by (session log, position, set, side), steps of a set in order."""
    groups: dict[tuple[int, int, int, str], list[SetLog]] = {}
    for row in sorted(rows, key=lambda r: (r.session_log_id, r.position, r.set_no, r.side, r.step_no, r.pk)):
        groups.setdefault((row.session_log_id, row.position, row.set_no, row.side), []).append(row)
    return groups
