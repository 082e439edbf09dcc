"""The page of one session on the phone, put together from its sheet and what was logged; a fixed number of queries."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q
from django.http import Http404

from coachdesk import engine
from coachdesk.engine import DEFAULT
from coachdesk.practice.one_trip import one_trip
from programs.logs.mapping import SheetExercise, SheetStep, sheet_exercises
from programs.logs.models import ClientMessage, Departure, PhoneEntry, SessionLog, SetLog
from programs.logs.phone.selectors.kit import loads_by_exercise, near
from programs.logs.phone.selectors.quota import set_quota, volume_quota
from programs.logs.phone.selectors.rows import Lift, Refused, SetRows, StepRow
from programs.logs.phone.visit import further_step, logs_of, place_of, step_at, steps_of
from programs.logs.selectors.messages import aside_words
from programs.logs.selectors.session_page import departures_of
from programs.models import Exercise, IssuedSheet, PainReport

LEFT_OUT = "left out"
# From one station to another: as long as changing plates.
WALK_S = DEFAULT.change_plates_s
MESSAGES = 3


@dataclass(frozen=True)
class Session:
    """Everything the page shows. `log` is None until something was said."""

    sheet: IssuedSheet
    log: SessionLog | None
    lifts: tuple[Lift, ...]
    skipped: str = ""
    rest_why: str = ""
    pain: int | None = None
    pain_version: int = 0
    aside: Sequence[str] = ()
    messages: Sequence[ClientMessage] = ()
    short: int = 0
    refused: Refused | None = None

    @property
    def done_count(self) -> int:
        return sum(one.done_count for one in self.lifts)

    @property
    def count(self) -> int:
        """Sets planned, and those done besides."""
        return sum(len(one.rows) for one in self.lifts)

    @property
    def is_over(self) -> bool:
        return all(one.is_over for one in self.lifts)

    def lift(self, position: int) -> Lift:
        """The exercise at this position. Raises Http404 for none."""
        found = next((one for one in self.lifts if one.position == position), None)
        if found is None:
            raise Http404
        return found

    def after(self, slot: str) -> str:
        """The id of what comes after this step: the other exercises of a superset in turn, then the next one."""
        here = next((one for one in self.lifts if str(one.position) == slot.partition("-")[0]), None)
        turn = [one for one in self.lifts if here and here.turn and one.turn == here.turn] or ([here] if here else [])
        rows = [one.open_row for one in turn if one.open_row]
        if rows:
            return min(rows, key=lambda row: (row.step.set_no, row.step.position)).id
        rest = [one for one in self.lifts if here is None or one.position > here.position]
        left = next((one.open_row for one in (*rest, *self.lifts) if one.open_row), None)
        return left.id if left else "end"


def session_of(sheet: IssuedSheet, *, at: str = "", refused: Refused | None = None) -> Session:
    """The page of a sheet; `at`: a step that was asked for, to be said or changed though it is not the next."""
    known = _known(sheet)
    asked = _asked(sheet, known.log, refused.slot if refused and refused.slot else at)
    lifts = hurried(_lifts(sheet, known, asked), known.short)
    there, whole, log = known.there, known.pains.get(None), known.log
    off = known.missed or (log if log and log.status == SessionLog.Status.SKIPPED else None)
    return Session(
        sheet=sheet, log=log, lifts=tuple(_with_refusal(one, refused) for one in lifts),
        skipped=off.skipped_why if off else "", rest_why=there[""].why if "" in there else "",
        pain=whole.pain if whole else None, pain_version=whole.version if whole else 0,
        aside=aside_words(known.entries, sheet), messages=known.messages[: -MESSAGES - 1 : -1], refused=refused,
        short=known.short.get("minutes", 0),
    )  # fmt: skip


def lifts_instead(sheet: IssuedSheet, position: int, others: Sequence[Exercise | None]) -> list[Lift]:
    """The exercise at this position as the page would show it once each of these stood in; None: the planned one.

    Raises Http404 for no such exercise.
    """
    if position not in {one["position"] for one in sheet.body["exercises"]}:
        raise Http404
    known = _known(sheet, frozenset(one.pk for one in others if one))
    place = str(position)
    made = []
    for other in others:
        there = {key: row for key, row in known.there.items() if key != place}
        if other:
            there[place] = Departure(place=place, instead=other)
        lifts = hurried(_lifts(sheet, replace(known, there=there), None), known.short)
        made.append(next(one for one in lifts if one.position == position))
    return made


@dataclass(frozen=True)
class _Known:
    """What was said and logged of a sheet, and the loads that can be made for its exercises."""

    log: SessionLog | None
    missed: SessionLog | None
    there: Mapping[str, Departure]
    sets: Sequence[SetLog]
    pains: Mapping[int | None, PainReport]
    entries: Sequence[PhoneEntry]
    messages: Sequence[ClientMessage]
    loads: Mapping[int, tuple[int, ...]]

    @property
    def short(self) -> Mapping[str, Any]:
        """What was agreed on when the session was shortened last."""
        return next((row.payload for row in reversed(self.entries) if row.kind == "short"), {})


def _known(sheet: IssuedSheet, others: frozenset[int] = frozenset()) -> _Known:
    log, missed = logs_of(sheet.client, sheet)
    reports, entries, messages = _notes(sheet, log)
    there = departures_of(log) if log else {}
    sets = list(log.sets.select_related("exercise").order_by("set_no", "side", "step_no", "id")) if log else []
    stands = {row.instead_id for row in there.values() if row.instead_id}
    wanted = {one["exercise"] for one in sheet.body["exercises"]} | stands | others
    loads = loads_by_exercise(wanted, place_of(sheet, entries))
    return _Known(log, missed, there, sets, {row.exercise_id: row for row in reports}, entries, messages, loads)


def _lifts(sheet: IssuedSheet, known: _Known, asked: SheetStep | None) -> list[Lift]:
    bodies = {one["position"]: one for one in sheet.body["exercises"]}
    return [
        _lift(sheet, one, bodies[one.position], known, asked if asked and asked.position == one.position else None)
        for one in sheet_exercises(sheet.body)
    ]


def _notes(
    sheet: IssuedSheet, log: SessionLog | None
) -> tuple[list[PainReport], list[PhoneEntry], list[ClientMessage]]:
    """Reports of pain, what was kept aside or shortened, and messages about this sheet: one trip."""
    mine = PainReport.objects.filter(client_id=sheet.client_id)
    reports = mine.filter(source_uid=log.key) if log else mine.none()
    entries = PhoneEntry.objects.filter(~Q(aside="") | Q(kind__in=("short", "place")), sheet=sheet)
    pains, said, messages = one_trip(reports, entries, ClientMessage.objects.filter(sheet=sheet))
    return pains, said, messages


def hurried(lifts: Sequence[Lift], short: Mapping[str, Any]) -> list[Lift]:
    """The exercises with who is done in turn with whom, as planned or to save time, and rests no longer than agreed."""
    pairs = {int(n): pair for pair in short.get("pairs", ()) for n in pair.split("-")}
    by_position = {str(one.position): one for one in lifts}
    dropped = dict(_dropped(lifts, said) for said in short.get("drops", ()))
    made = []
    for one in lifts:
        pair = pairs.get(one.position, "")
        others = [by_position[n] for n in pair.split("-") if n in by_position and n != str(one.position)]
        other = others[0] if others and not others[0].is_over else None
        first = pair.startswith(f"{one.position}-")
        sets = tuple(
            replace(s, rows=tuple(_hurried(row, short, other, first) for row in s.rows)) for s in one.sets
        )  # fmt: skip
        words = f"In turn with {others[0].name}, a set of each" if others else dropped.get(one.position, "")
        made.append(replace(one, sets=sets, turn=pair or one.body.get("group", ""), turn_words=words))
    return made


def _dropped(lifts: Sequence[Lift], said: str) -> tuple[int, str]:
    """(position, what follows its set at once) of '3-15000-12500': the exercise and the loads of its drops."""
    position, *loads = map(int, said.split("-"))
    unit = next((row.unit for one in lifts if one.position == position for row in one.rows), "kg")
    words = " and ".join(engine.load_in_words(load, unit) for load in loads)
    return position, f"After the set at once {words}, without a rest; keep as many in reserve as in the set"


def _hurried(row: StepRow, short: Mapping[str, Any], other: Lift | None, first: bool) -> StepRow:
    """In turn there is no rest before the other exercise, and after it only what its set did not give."""
    row = replace(row, most_rest_s=short.get("rest_s", 0), then="", less_rest_s=0)
    if other is None:
        return row
    if first:
        return replace(row, then=other.name)
    seconds = other.rows[0].body.get("seconds") or 0 if other.rows and other.rows[0].body else 0
    return replace(row, less_rest_s=round(seconds + 2 * WALK_S))


def _asked(sheet: IssuedSheet, log: SessionLog | None, at: str) -> SheetStep | None:
    try:
        return step_at(sheet, log, at) if at else None
    except ValidationError:
        return None


def _lift(
    sheet: IssuedSheet, one: SheetExercise, body: Mapping[str, Any], known: _Known, asked: SheetStep | None
) -> Lift:
    there, said = known.there, known.there.get(str(one.position))
    logs = [row for row in known.sets if row.position == one.position]
    instead = said.instead if said else None
    steps = _with_asked(_apart(steps_of(sheet, one.position, instead), logs, asked), logs, asked)
    rest = there[""].why if "" in there else ""
    why = {step.slot: there[step.slot].why if step.slot in there else rest for step in steps}
    row = partial(_row, body=body, unit=sheet.client.unit, logs=logs, loads=known.loads)
    rows = [row(step, why=why[step.slot], apart=_sides_of(row, step, body)) for step in steps]
    pain = known.pains.get(logs[-1].exercise_id if logs else -1)
    gone = said.why if said and not instead else ""
    made = Lift(
        body=body, name=instead.name if instead else one.name, sets=_sets(rows, body),
        instead_of=one.name if instead else "", why=said.why if said else "", left_out=gone,
        pain=pain.pain if pain else None, pain_version=pain.version if pain else 0,
        quota=volume_quota(body, rows), further=_further(row, steps),
    )  # fmt: skip
    return _opened(made, asked, made.quota.endswith("reached"))


def _apart(steps: Sequence[SheetStep], logs: Sequence[SetLog], asked: SheetStep | None) -> list[SheetStep]:
    """A step for both sides becomes two where one side was said, or asked for, by itself."""
    sides = {(row.set_no, row.step_no) for row in logs if row.side != "b"}
    if asked and asked.side != "b":
        sides.add((asked.set_no, asked.step_no))
    made: list[SheetStep] = []
    for step in steps:
        split = step.side == "b" and (step.set_no, step.step_no) in sides
        made += [replace(step, side="l"), replace(step, side="r")] if split else [step]
    return made


def _with_asked(
    steps: list[SheetStep], logs: Sequence[SetLog], asked: SheetStep | None
) -> list[SheetStep]:  # fmt: skip
    """Sets and bouts beyond the plan: those that were done, and the one asked for."""
    known = {step.slot for step in steps}
    beyond = {(row.set_no, row.step_no, row.side) for row in logs}
    beyond |= {(asked.set_no, asked.step_no, asked.side)} if asked else set()
    position = steps[0].position if steps else 0
    more = [
        further_step(steps, *place) for place in beyond
        if f"{position}-{place[0]}-{place[1]}-{place[2]}" not in known
    ]  # fmt: skip
    # A set of several steps is done on one side and then on the other.
    return sorted([*steps, *more], key=lambda step: (step.set_no, "blr".index(step.side), step.step_no))


def _row(
    step: SheetStep, body: Mapping[str, Any], unit: str, logs: Sequence[SetLog], loads: Mapping[int, tuple[int, ...]],
    why: str = "", apart: tuple[StepRow, ...] = (),
) -> StepRow:  # fmt: skip
    place = (step.set_no, step.step_no)
    log = next((row for row in logs if (row.set_no, row.step_no, row.side) == (*place, step.side)), None)
    planned = next((s for s in body["steps"] if (s["set"], s["step"]) == place and s["side"] in (step.side, "b")), None)
    like = next((row for row in reversed(logs) if row.exercise_id == step.exercise), None)
    around = step.load if step.load is not None else like.load if like else None
    return StepRow(
        step=step, body=planned, unit=unit, log=log, spare=f"{LEFT_OUT}: {why}" if why and not log else "",
        near=near(loads.get(step.exercise, ()), around), like=like, is_drop=_is_drop(step, body), apart=apart,
    )  # fmt: skip


def _sides_of(row: Callable[..., StepRow], step: SheetStep, body: Mapping[str, Any]) -> tuple[StepRow, ...]:
    """A step of one limb after the other that is planned for both together may be said of each by itself."""
    if body["limbs"] != "one" or step.side != "b":
        return ()
    return row(replace(step, side="l")), row(replace(step, side="r"))


def _is_drop(step: SheetStep, body: Mapping[str, Any]) -> bool:
    """Whether it is a lighter bout than the first of its set."""
    first = next((s["load"] for s in body["steps"] if s["set"] == step.set_no), None)
    return step.step_no > 1 and step.load is not None and first is not None and step.load < first


def _sets(rows: Sequence[StepRow], body: Mapping[str, Any]) -> tuple[SetRows, ...]:
    """Rows by set; the last set asks for the reps left."""
    last = max((row.step.set_no for row in rows), default=0)
    made = []
    for number in dict.fromkeys(row.step.set_no for row in rows):
        mine = [row for row in rows if row.step.set_no == number]
        end = max(row.step.step_no for row in mine)
        made.append(set_quota(body, SetRows(
            number, tuple(replace(row, is_last=number == last and row.step.step_no == end) for row in mine)
        )))  # fmt: skip
    return tuple(made)


def _further(row: Callable[..., StepRow], steps: Sequence[SheetStep]) -> StepRow | None:
    """One more set, on the side of the last one."""
    if not steps:
        return None
    last = max(steps, key=lambda step: step.set_no)
    try:
        return replace(row(further_step(list(steps), last.set_no + 1, 1, last.side)), is_last=True)
    except ValidationError:
        return None


def _opened(lift: Lift, asked: SheetStep | None, enough: bool) -> Lift:
    """The next step to do stands open, and the one that was asked for."""
    todo = [row.slot for row in lift.rows if not row.log and not row.spare and not lift.left_out and not enough]
    open_ones = set(todo[:1]) | ({asked.slot} if asked else set())
    sets = tuple(
        replace(one, rows=tuple(replace(row, is_open=row.slot in open_ones) for row in one.rows)) for one in lift.sets
    )
    return replace(lift, sets=sets)


def _with_refusal(lift: Lift, refused: Refused | None) -> Lift:
    if refused is None or refused.kind != "set":
        return lift
    sets = tuple(
        replace(one, rows=tuple(replace(r, refused=refused) if r.slot == refused.slot else r for r in one.rows))
        for one in lift.sets
    )
    return replace(lift, sets=sets)
