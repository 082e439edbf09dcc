"""What of the plan an issued sheet was made from, held against the plan as it stands.

Compared is what a coach writes (day, name, note, exercises in order with scheme, superset and cue), not what is worked
out from it: loads move with every session that is logged. Where a session is done may be chosen on the day, so the
place is not compared either.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db.models import QuerySet

from coachdesk import engine
from programs.models import PlannedSession

# What `plan_rows` reads of every planned exercise, and of a session without any.
COLUMNS = (
    "pk", "name", "note", "week_no", "day", "block__program__start_on", "exercises__pk", "exercises__position",
    "exercises__exercise", "exercises__exercise__name", "exercises__scheme", "exercises__group", "exercises__cue",
)  # fmt: skip
NOT_PLANNED, NOT_ISSUED = "not in the plan", "not on the sheet"


@dataclass(frozen=True)
class Lift:
    """One exercise as a coach writes it; `row` is the planned exercise it came from."""

    row: int
    exercise: int
    name: str
    scheme: str
    group: str
    cue: str

    @property
    def words(self) -> str:
        """'3 x 8 @ 70 %, rest 2 min; superset A; slow down'."""
        return "; ".join(part for part in (self.scheme, self.group and f"superset {self.group}", self.cue) if part)

    @property
    def said(self) -> tuple[int, str, str, str]:
        return (self.exercise, self.scheme, self.group, self.cue)


@dataclass(frozen=True)
class Outline:
    """A session as a coach writes it."""

    on: date | None
    title: str
    note: str
    lifts: tuple[Lift, ...] = field(default=())

    @property
    def digest(self) -> str:
        """Equal for what says the same, whatever rows it stands in; 64 hex digits."""
        said = [str(self.on), self.title, self.note, [one.said for one in self.lifts]]
        return hashlib.sha256(json.dumps(said).encode()).hexdigest()


@dataclass(frozen=True)
class Difference:
    """One thing that the sheet and the plan say otherwise: what, as issued, as it stands."""

    what: str
    issued: str
    now: str


def outline_of_sheet(body: Mapping[str, Any]) -> Outline:
    """What a sheet was made from, read from its body."""
    lifts = tuple(
        Lift(one["planned_exercise"], one["exercise"], one["name"], one["scheme"], one.get("group", ""), one["cue"])
        for one in body["exercises"]
    )
    on = date.fromisoformat(body["for_on"]) if body["for_on"] else None
    return Outline(on, body["title"], body.get("note", ""), lifts)


def plan_rows(sessions: "Iterable[int] | QuerySet[Any, Any]") -> "QuerySet[PlannedSession, tuple[Any, ...]]":
    """The rows that `outlines` reads, of these planned sessions: one query."""
    return PlannedSession.objects.filter(pk__in=sessions).values_list(*COLUMNS)


def outlines(rows: Iterable[tuple[Any, ...]]) -> dict[int, Outline]:
    """Planned sessions as they stand, by id, from the rows of `plan_rows` in any order."""
    heads: dict[int, Outline] = {}
    lifts: dict[int, list[tuple[int, int, Lift]]] = {}
    for pk, name, note, week_no, day, start, row, position, exercise, exercise_name, scheme, group, cue in rows:
        on = start + timedelta(days=7 * (week_no - 1) + day) if start else None
        heads[pk] = Outline(on, name, note)
        if row is not None:
            words = engine.scheme_words(engine.scheme_from_json(scheme))
            lifts.setdefault(pk, []).append((position, row, Lift(row, exercise, exercise_name, words, group, cue)))
    return {
        pk: Outline(head.on, head.title, head.note, tuple(one for *_, one in sorted(lifts.get(pk, ()), key=_order)))
        for pk, head in heads.items()
    }


def _order(one: tuple[int, int, Lift]) -> tuple[int, int]:
    return one[:2]


def plan_differences(issued: Outline, now: Outline | None) -> list[Difference]:
    """What the plan says otherwise than the sheet, in the sheet's order; `now` None: its session is gone."""
    if now is None:
        return [Difference("The session", issued.title, NOT_PLANNED)]
    pairs = _pairs(issued, now)
    found = [*_head(issued, now), *(one for was, is_now in pairs for one in _lift(was, is_now))]
    kept = [is_now.row for was, is_now in pairs if was and is_now]
    if kept != [one.row for one in now.lifts if one.row in set(kept)]:
        found.append(Difference("The order", _names(issued), _names(now)))
    return found


def _head(issued: Outline, now: Outline) -> list[Difference]:
    pairs = (
        ("The day", _day(issued.on), _day(now.on)),
        ("The name", issued.title, now.title),
        ("The note", issued.note or "none", now.note or "none"),
    )
    return [Difference(*one) for one in pairs if one[1] != one[2]]


def _day(on: date | None) -> str:
    return f"{on:%a} {on.day} {on:%b %Y}" if on else "none"


def _names(outline: Outline) -> str:
    return ", ".join(one.name for one in outline.lifts)


def _pairs(issued: Outline, now: Outline) -> list[tuple[Lift | None, Lift | None]]:
    """Each exercise of the sheet beside what became of it: the same row, else one that says the same, else its like."""
    left = list(now.lifts)
    found: dict[int, Lift] = {}
    for alike in (_same_row, _same_words, _same_exercise):
        for number, was in enumerate(issued.lifts):
            there = next((one for one in left if number not in found and alike(was, one)), None)
            if there is not None:
                found[number] = there
                left.remove(there)
    return [(was, found.get(number)) for number, was in enumerate(issued.lifts)] + [(None, one) for one in left]


def _same_row(was: Lift, now: Lift) -> bool:
    return was.row == now.row


def _same_words(was: Lift, now: Lift) -> bool:
    return was.said == now.said


def _same_exercise(was: Lift, now: Lift) -> bool:
    return was.exercise == now.exercise


def _lift(was: Lift | None, now: Lift | None) -> list[Difference]:
    if now is None:
        return [Difference(was.name, was.words, NOT_PLANNED)] if was else []
    if was is None:
        return [Difference(now.name, NOT_ISSUED, now.words)]
    if was.said == now.said:
        return []
    if was.exercise != now.exercise:
        return [Difference(was.name, f"{was.name}, {was.words}", f"{now.name}, {now.words}")]
    return [Difference(was.name, was.words, now.words)]
