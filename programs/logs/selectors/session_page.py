"""One session, planned against done: a row for every planned step and every logged one, and what it taught."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any
from uuid import UUID

from coachdesk import engine
from coachdesk.practice.models import Act
from coachdesk.practice.tape import next_undo
from programs.logs.mapping import LABELS, SheetExercise, SheetStep, set_key, sheet_exercises, with_stand_in
from programs.logs.models import Departure, SessionLog, SetLog
from programs.logs.selectors.extra import SettingChoices, extra_steps, planned_positions
from programs.mapping import Seen
from programs.selectors import Evidence, evidence_of
from programs.selectors.strength import seen_words


@dataclass(frozen=True)
class Row:
    """One step: what was planned (None when it was not), what was done (None: not done), what is in the cells."""

    slot: str
    exercise: str
    set_no: int
    step_no: int
    side: str
    unit: str
    rep_kind: str
    planned_load: int | None
    planned_reps: str
    planned_rir: float | None
    setup: str
    log: SetLog | None
    key: UUID | None = None
    difference: str = ""
    typed: dict[str, str] | None = None
    errors: dict[str, str] = field(default_factory=dict)
    conflicts: dict[str, str] = field(default_factory=dict)
    asks: str = ""
    settings: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        return f"set-{self.slot}"

    @property
    def is_planned(self) -> bool:
        return bool(self.planned_reps) or self.planned_load is not None

    @property
    def is_extra(self) -> bool:
        """Whether it is only there to type a further set that no sheet plans."""
        return self.log is None and not self.difference

    @property
    def version(self) -> int:
        return self.log.version if self.log else 0

    @property
    def values(self) -> dict[str, str]:
        """The text in the cells: typed where something is being corrected, else what is saved."""
        if self.typed is not None:
            return self.typed
        if self.log is None:
            return {"load": "", "reps": "", "rir": ""}
        return set_values(self.log)

    @property
    def words(self) -> str:
        """The row's name for a screen reader: exercise, set, step, side."""
        drop = f", drop {self.step_no - 1}" if self.step_no > 1 else ""
        side = {"l": ", left", "r": ", right"}.get(self.side, "")
        return f"{self.exercise}, set {self.set_no}{drop}{side}"


def set_values(row: SetLog) -> dict[str, str]:
    """A saved set as the text of its cells."""
    return cell_texts({"load": row.load, "setting": row.setting, "reps": row.reps, "rir": row.rir})


def cell_texts(values: Mapping[str, Any]) -> dict[str, str]:
    """Load (thousandths) or setting, reps and RIR as text for their cells; None is blank."""
    found = {name: _cell_text(name, values.get(name)) for name in ("load", "reps", "rir")}
    return found | ({"load": str(values["setting"])} if values.get("setting") else {})


def _cell_text(name: str, value: Any) -> str:
    if value is None:
        return ""
    if name == "setting":
        return str(value)
    if name != "load":
        return f"{value:g}"
    return f"{engine.format_load(-value)} assistance" if value < 0 else engine.format_load(value)


@dataclass(frozen=True)
class EstimateChange:
    """What the session did to one estimate. `evidence` says from which set, and how far it is believed."""

    exercise: str
    side: str
    before: engine.Strength | None
    after: engine.Strength | None
    evidence: str

    @property
    def moved_kg(self) -> float | None:
        return self.after.mean_kg - self.before.mean_kg if self.before and self.after else None

    @property
    def dropped_kg(self) -> float:
        return max(0.0, -(self.moved_kg or 0.0))


@dataclass(frozen=True)
class SessionPage:
    """Everything the page of one session log shows."""

    log: SessionLog
    title: str
    groups: tuple[tuple[str, tuple[Row, ...]], ...]
    undo: Act | None
    rest_why: str = ""
    next_position: int = 1

    @property
    def done_count(self) -> int:
        return sum(1 for _, rows in self.groups for row in rows if row.log)

    @property
    def exercises_done(self) -> dict[int, str]:
        """Names by id, in order."""
        logs = [row.log for _, rows in self.groups for row in rows if row.log]
        return {log.exercise_id: log.exercise.name for log in logs}

    @property
    def planned_count(self) -> int:
        return sum(1 for _, rows in self.groups for row in rows if row.is_planned)

    @property
    def planned_done(self) -> int:
        return sum(1 for _, rows in self.groups for row in rows if row.log and row.is_planned)

    @property
    def unplanned_done(self) -> int:
        return self.done_count - self.planned_done

    def with_row(self, changed: Row) -> "SessionPage":
        """The page with one row replaced: a form that was refused keeps what was typed."""
        groups = tuple(
            (name, tuple(changed if r.slot == changed.slot else r for r in rows)) for name, rows in self.groups
        )
        return replace(self, groups=groups)

    def row(self, slot: str) -> Row | None:
        return next((row for _, rows in self.groups for row in rows if row.slot == slot), None)

    def row_to_type(self, slot: str) -> Row | None:
        """The blank row behind a set that no sheet plans."""
        position, set_no, step_no, side = slot.split("-")
        row = self.row(f"{position}-{int(set_no) + 1}-{step_no}-{side}")
        return row if row and row.is_extra else None


def session_page(session_log: SessionLog) -> SessionPage:
    """The page of a session log, in five queries; what it taught is read by `estimate_changes`."""
    sets = list(session_log.sets.select_related("exercise").order_by("position", "set_no", "side", "step_no", "id"))
    there = departures_of(session_log)
    return SessionPage(
        log=session_log, title=session_log.title, groups=_groups(session_log, sets, there),
        rest_why=there[""].why if "" in there else "",
        undo=next_undo(session_log.client.practice, f"log:{session_log.key.hex}"),
        next_position=1 + max({one.position for one in sets} | planned_positions(session_log), default=0),
    )  # fmt: skip


def departures_of(session_log: SessionLog) -> dict[str, Departure]:
    """Where the session left its sheet, by place."""
    return {row.place: row for row in session_log.departures.select_related("instead").order_by("id")}


def _steps(session_log: SessionLog, one: SheetExercise, there: Departure | None) -> list[SheetStep]:
    instead = there.instead if there else None
    return [with_stand_in(step, instead, session_log.client.body_kg) if instead else step for step in one.steps]


def step_of(session_log: SessionLog, slot: str) -> SheetStep | None:
    """The step at this place of the log's sheet, as it was meant to be done once another exercise stood in; or None."""
    there = departures_of(session_log)
    for one in sheet_exercises(session_log.sheet.body) if session_log.sheet else ():
        for step in _steps(session_log, one, there.get(str(one.position))):
            if step.slot == slot:
                return step
    return None


def _name(one: SheetExercise, there: Departure | None) -> str:
    if there is None:
        return one.name
    why = f": {there.why}" if there.why else ""
    return f"{there.instead.name}, instead of {one.name}{why}" if there.instead else f"{one.name}, left out{why}"


def _groups(
    session_log: SessionLog, sets: Sequence[SetLog], there: Mapping[str, Departure]
) -> tuple[tuple[str, tuple[Row, ...]], ...]:
    left = {(s.position, s.set_no, s.step_no, s.side): s for s in sets}
    groups: dict[tuple[int, str], list[Row]] = {}
    for one in sheet_exercises(session_log.sheet.body) if session_log.sheet else ():
        said = there.get(str(one.position))
        done_name = said.instead.name if said and said.instead else one.name
        rows = groups.setdefault((one.position, _name(one, said)), [])
        for step in _steps(session_log, one, said):
            # One written step may be logged left and right apart.
            sides = (step.side, "l", "r") if step.side == "b" else (step.side,)
            places = [(step.position, step.set_no, step.step_no, side) for side in sides]
            logs = [left.pop(place) for place in places if place in left]
            why = next((there[place].why for place in (step.slot, "") if place in there), "") if not said else ""
            rows += [row_of(log, step, log.exercise.name) for log in logs] or [
                blank_row(session_log, step, done_name, why)
            ]
    choices = SettingChoices(session_log, sets)
    for log in left.values():
        row = replace(row_of(log, None, log.exercise.name), settings=choices.of_set(log))
        groups.setdefault((log.position, log.exercise.name), []).append(row)
    for step, name in extra_steps(session_log, sets):
        groups[step.position, name].append(replace(blank_row(session_log, step, name), difference=""))
    return tuple((name, tuple(rows)) for (_, name), rows in sorted(groups.items(), key=lambda item: item[0]))


def blank_row(session_log: SessionLog, step: SheetStep, exercise: str, why: str = "") -> Row:
    """A planned step that was not done, and why; its key makes logging it safe to send twice."""
    return Row(
        slot=step.slot, exercise=exercise, set_no=step.set_no, step_no=step.step_no, side=step.side, unit=step.unit,
        rep_kind=step.rep_kind, planned_load=step.load, planned_reps=step.reps_words, planned_rir=step.planned_rir,
        setup=step.setup, settings=step.settings, log=None, key=set_key(session_log.key, step.slot),
        difference=f"not done: {why}" if why else "not done",
    )  # fmt: skip


def row_of(log: SetLog, step: SheetStep | None, exercise: str) -> Row:
    """A step that was done, beside what was planned for it."""
    slot = f"{log.position}-{log.set_no}-{log.step_no}-{log.side}"
    planned = step.reps_words if step else str(log.planned_reps or "")
    return Row(
        slot=slot, exercise=exercise, set_no=log.set_no, step_no=log.step_no, side=log.side, unit=log.unit,
        rep_kind=log.rep_kind, planned_load=step.load if step else log.planned_load, planned_reps=planned,
        planned_rir=step.planned_rir if step else log.planned_rir, setup=step.setup if step else "", log=log,
        settings=step.settings if step else (),
        difference=difference_words(log, step),
    )  # fmt: skip


def difference_words(log: SetLog, step: SheetStep | None = None) -> str:
    """How the set differs from its plan: 'as written', '+2.5 kg, -1 rep', 'unplanned', with 'failure' where it was.

    Reps inside the sheet's range are as planned.
    """
    if log.planned_load is None and log.planned_reps is None:
        return "unplanned"
    parts = []
    if log.load is not None and log.planned_load is not None and log.load != log.planned_load:
        parts.append(_load_difference(log.load, log.planned_load, log.unit))
    if log.setting and step and step.setting and log.setting != step.setting:
        parts.append(_setting_difference(log.setting, step))
    if log.planned_reps is not None:
        top = max(log.planned_reps, step.reps_high or 0) if step and not step.to_failure else log.planned_reps
        off = min(0, log.reps - log.planned_reps) or max(0, log.reps - top)
        if off:
            one = LABELS[log.rep_kind]
            parts.append(f"{off:+d} {one.removesuffix('s') if abs(off) == 1 and log.rep_kind == 'reps' else one}")
    if log.failed:
        parts.append("failure")
    return ", ".join(parts) or ("as written" if log.as_written else "as planned")


def _load_difference(done: int, planned: int, unit: str) -> str:
    """'+2.5 kg'; of assistance what became of it: '4 kg more assistance', 'no assistance, 5 kg added'."""
    words = f"{engine.format_load(abs(done - planned))} {unit}"
    if done < 0 and planned < 0:
        return f"{words} {'more' if done < planned else 'less'} assistance"
    if done < 0 <= planned:
        return engine.load_in_words(done, unit)
    if planned < 0 <= done:
        return f"no assistance{', ' + engine.format_load(done) + ' ' + unit + ' added' if done else ''}"
    return f"{'+' if done > planned else '-'}{words}"


def _setting_difference(done: str, step: SheetStep) -> str:
    """'strong, 1 setting up', or only the setting where the sheet does not know it."""
    if done not in step.settings:
        return done
    off = step.settings.index(done) - step.settings.index(step.setting)
    return f"{done}, {abs(off)} {'setting' if abs(off) == 1 else 'settings'} {'up' if off > 0 else 'down'}"


def estimate_changes(session_log: SessionLog, done: Iterable[int]) -> tuple[EstimateChange, ...]:
    """What the session did to the estimates of these exercises (ids), by name; one query.

    Read apart from the page: an estimate before and after is a walk through a year of sets, and a set is acknowledged
    without it.
    """
    day = session_log.done_on
    seen = evidence_of(session_log.client, done, until=day, since=day)
    seen.sort(key=lambda e: (e.first.exercise.folded, e.first.side))
    changes = []
    for evidence in seen:
        mine = [row for row in evidence.rows if row.source_uid == session_log.key]
        if mine:
            changes.append(_change(session_log, evidence, mine))
    return tuple(changes)


def _change(session_log: SessionLog, evidence: Evidence, mine: list[Seen]) -> EstimateChange:
    others = evidence.without(session_log.key)
    before = others.strength(session_log.done_on) if others.rows else None
    after = evidence.strength(session_log.done_on)
    more = f", and {len(mine) - 1} more" if len(mine) > 1 else ""
    return EstimateChange(mine[0].exercise.name, mine[0].side, before, after, evidence_words(mine[0]) + more)


def evidence_words(row: Seen) -> str:
    """The set an estimate learned from, and how much it can say."""
    done = f"{seen_words(row)} x {row.reps}"
    if row.lower_bound:
        return f"{done}, RIR not typed: a lower bound only, it can raise the estimate but not lower it"
    if row.is_test:
        return f"{done}, a test"
    return f"{done} to failure" if row.rir == 0 else f"{done}, RIR {row.rir:g}"


def conflict_words(stale: Any) -> dict[str, str]:
    """Their value of each clashing field, as text for its cell."""
    return {
        "load" if c.field == "setting" else c.field: _cell_text(c.field, c.theirs) or "blank" for c in stale.conflicts
    }
