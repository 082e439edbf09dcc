"""What the programme editor shows: the grid, the opened session, and its effects on the week."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from urllib.parse import urlencode

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from clients.models import Client, Place
from clients.selectors import today_for, visible_clients, visible_places
from coachdesk import engine
from coachdesk.practice.merge import Conflict
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import next_redo, undo_stack
from programs.figures.week_table import outside, sets_of
from programs.models import Program
from programs.scheme_notes import HOLDS, SIDES
from programs.selectors.effects import Fatigue, fatigue_picture, profiles, weeks_picture
from programs.selectors.exercises import exercise_choices
from programs.selectors.prescription import (
    ExerciseView,
    ProgramView,
    SessionView,
    Shown,
    WeekView,
    in_week,
    program_view,
)
from programs.words import flag_where

DAY_NAMES = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
SEVERITY_ORDER = {"stop": 0, "check": 1, "note": 2}
LISTED_ACTS = 12
LOAD_KINDS = (("effort", "RIR"), ("percent", "% 1RM"), ("rep_max", "RM"), ("fixed", "load"), ("place", "place"))


@dataclass
class Typed:
    """What was typed into one row and could not be kept as it is: shown again instead of the stored values."""

    row: int
    values: dict[str, str]
    errors: dict[str, str] = field(default_factory=dict)
    conflicts: list[Conflict] = field(default_factory=list)


@dataclass(frozen=True)
class EditorRow:
    """One exercise of the opened session: its fields (or what was typed), errors, and the engine's answer."""

    view: ExerciseView
    values: dict[str, Any]
    errors: dict[str, str]
    conflicts: list[Conflict]
    profile: SafeString
    saved: dict[str, Any]
    cue_ahead: int
    options: SafeString

    @property
    def pk(self) -> int:
        return self.view.row.pk

    @property
    def is_series(self) -> bool:
        return self.values["kind"] == "series"


@dataclass(frozen=True)
class MuscleRow:
    """A muscle's planned sets in a week against its band; `outside` is '', 'above' or 'below'."""

    code: str
    name: str
    sets: engine.MuscleWeek
    band: tuple[float, float] | None
    outside: str


@dataclass(frozen=True)
class ShownFlag:
    """A flag with the words a page needs beside it."""

    flag: engine.Flag
    where_words: str

    def __getattr__(self, name: str) -> Any:
        return getattr(self.flag, name)


@dataclass(frozen=True)
class Editor:
    """The page's context, whole: every partial of it reads from here."""

    view: ProgramView
    week: WeekView | None
    session: SessionView | None
    rows: list[EditorRow]
    muscles: list[MuscleRow]
    flags: list[ShownFlag]
    other_flags: int
    done: list[Act]
    redo: Act | None
    clients: QuerySet[Client] | None
    exercises: list[tuple[int, str]]
    places: QuerySet[Place]
    kinds: list[tuple[str, str]]
    weeks_picture: SafeString | None
    fatigue: Fatigue | None
    load_kinds: tuple[tuple[str, str], ...] = LOAD_KINDS
    groups: tuple[str, ...] = ("A", "B", "C", "D")
    sides: tuple[tuple[str, str], ...] = SIDES
    holds: tuple[tuple[str, str], ...] = HOLDS

    @property
    def undo(self) -> Act | None:
        """What the next undo takes back."""
        return self.done[0] if self.done else None

    @property
    def earlier(self) -> list[Act]:
        """What further undos would take back, newest first."""
        return self.done[1:]

    @property
    def unit(self) -> str:
        return self.view.client.unit if self.view.client else self.view.program.practice.unit

    @property
    def _query(self) -> str:
        query = {
            "session": self.session.row.pk if self.session else None,
            "week": self.week.week_no if self.week and not self.session else None,
            "for": self.view.client.pk if self.view.client and not self.view.program.client_id else None,
        }
        return urlencode({k: v for k, v in query.items() if v})

    @property
    def apply_url(self) -> str:
        return f"{reverse('programs:flag_apply', args=[self.view.program.pk])}?{self._query}"

    @property
    def dismiss_url(self) -> str:
        return f"{reverse('programs:flag_dismiss', args=[self.view.program.pk])}?{self._query}"

    @property
    def grid(self) -> list[tuple[str, list[tuple[int, tuple[SessionView, ...]]]]]:
        """(day name, (week number, its sessions) for each week) for each day, Monday first."""
        return [(name, [(week.week_no, week.days[n]) for week in self.view.weeks]) for n, name in enumerate(DAY_NAMES)]

    @property
    def sessions(self) -> list[SessionView]:
        """The shown week's sessions in order."""
        return [s for day in self.week.days for s in day] if self.week else []


def row_values(view: ExerciseView, unit: str) -> dict[str, Any]:
    """The flat fields of a stored row, as a form would carry them."""
    try:
        fields = engine.scheme_to_fields(view.scheme, unit)
    except engine.EngineError:
        # Made of parts that do not fit one line; changed by its words or by choosing another scheme.
        fields = {"kind": "series"}
    row, words = view.row, view.words
    return {
        **fields, "exercise": str(row.exercise_id), "written": words, "written_was": words, "cue": row.cue,
        "private_note": row.private_note, "group": row.group, "version": str(row.version),
    }  # fmt: skip


def _cue_ahead(view: ProgramView, session: SessionView, one: ExerciseView) -> int:
    """How many later rows of this exercise have another cue than this one."""
    if not one.row.cue:
        return 0
    sessions = (s for week in view.weeks[session.row.week_no :] for day in week.days for s in day)
    later = (e.row for s in sessions for e in s.exercises if e.row.exercise_id == one.row.exercise_id)
    return sum(row.cue != one.row.cue for row in later)


def _chosen(options: SafeString, exercise: str) -> SafeString:
    """The list of exercises with one chosen; the list is made once for all rows."""
    value = format_html('value="{}"', exercise)
    return SafeString(options.replace(value, f"{value} selected", 1))


def _rows(
    view: ProgramView, session: SessionView | None, unit: str, typed: Typed | None, choices: list[tuple[int, str]]
) -> list[EditorRow]:
    rows: list[EditorRow] = []
    if session is None:
        return rows
    drawn = profiles(session, view.rules)
    options = format_html_join("", '<option value="{}">{}</option>', choices)
    for one in session.exercises:
        mine = typed if typed and typed.row == one.row.pk else None
        stored = row_values(one, unit)
        values = {**stored, **mine.values} if mine else stored
        errors, conflicts = (mine.errors, mine.conflicts) if mine else ({}, [])
        ahead = _cue_ahead(view, session, one)
        rows.append(
            EditorRow(
                one, values, errors, conflicts, drawn[one.row.pk], stored, ahead, _chosen(options, values["exercise"])
            )
        )
    return rows


def _muscles(week: WeekView | None, traits: engine.ClientTraits | None, rules: engine.Rules) -> list[MuscleRow]:
    if week is None or week.totals is None:
        return []
    rows = []
    for code, sets in week.totals.muscles:
        found = engine.band_for(traits, code, rules) if traits else None
        band = found[0] if found else None
        rows.append(MuscleRow(code, engine.muscle(code).name, sets, band, outside(sets_of(sets), band)))
    return rows


def shown_flags(view: ProgramView, flags: list[engine.Flag]) -> list[ShownFlag]:
    """Flags with where they point, by the names on this programme."""
    sessions: dict[object, str] = {}
    exercises: dict[object, str] = {}
    for session in (s for w in view.weeks for day in w.days for s in day):
        sessions[session.row.pk] = f"{DAY_NAMES[session.row.day]} {session.row.name}"
        exercises |= {e.row.pk: e.row.exercise.name for e in session.exercises}
    return [ShownFlag(flag, flag_where(flag, sessions, exercises)) for flag in flags]


def chosen_client(desk: Membership, program: Program, wanted: str | None) -> Client | None:
    """Whom a programme is looked at for: its own client, or the one asked for by id; None for nobody."""
    if program.client is not None:
        return program.client
    if not wanted or not wanted.isascii() or not wanted.isdigit() or len(wanted) > 18:
        return None
    return visible_clients(desk).select_related("place", "practice").filter(pk=int(wanted)).first()


def editor(
    desk: Membership, program: Program, *, now: datetime, session: int | None = None, week: int | None = None,
    looking_as: str | None = None, typed: Typed | None = None, muscle: str = "",
) -> Editor:  # fmt: skip
    """Everything on the page: `session` opened (its week shown), else `week`, else the week of today or the first."""
    client = chosen_client(desk, program, looking_as)
    today: date = today_for(client, now) if client else now.date()
    view = program_view(program, client=client, on=today, shown=Shown(session, week))
    opened = view.session(session) if session else None
    shown = view.week(opened.row.week_no if opened else _week_no(view, week, today))
    unit = client.unit if client else program.practice.unit
    flags = sorted(view.open_flags(), key=lambda f: (SEVERITY_ORDER[f.severity], f.where.week_no or 0, f.code))
    here = [f for f in flags if in_week(f, shown.week_no if shown else 1)]
    subject = f"program:{program.pk}"
    choices = exercise_choices(desk) if opened else []
    return Editor(
        view=view, week=shown, session=opened, rows=_rows(view, opened, unit, typed, choices),
        muscles=_muscles(shown, view.traits if client else None, view.rules),
        flags=shown_flags(view, here), other_flags=len(flags) - len(here),
        done=list(undo_stack(program.practice, subject)[:LISTED_ACTS]), redo=next_redo(program.practice, subject),
        clients=None if program.client else visible_clients(desk).filter(archived_on=None).order_by("folded", "id"),
        exercises=choices,
        places=visible_places(desk),
        kinds=[(k.kind, k.name) for k in engine.SCHEMES.values() if k.kind != "series"],
        weeks_picture=weeks_picture(view, shown, f"&for={client.pk}" if client and not program.client_id else ""),
        fatigue=fatigue_picture(view, shown, muscle),
    )  # fmt: skip


def unit_of(program: Program, desk: Membership, looking_as: str | None) -> str:
    """The unit that typed loads are in: the client's, or the practice's for a template."""
    client = chosen_client(desk, program, looking_as)
    return client.unit if client else program.practice.unit


def flag_of(
    desk: Membership, program: Program, typed: Mapping[str, str], *, now: datetime, shown: Shown | None = None
) -> engine.Flag | None:
    """The open flag whose id was posted as `flag`, worked out anew for the place `shown`; None when it is gone."""
    client = chosen_client(desk, program, typed.get("for"))
    today = today_for(client, now) if client else now.date()
    view = program_view(program, client=client, on=today, shown=shown or Shown())
    return next((f for f in view.open_flags() if f.id == typed.get("flag")), None)


def _week_no(view: ProgramView, wanted: int | None, today: date) -> int:
    if wanted:
        return max(1, min(wanted, len(view.weeks)))
    start = view.program.start_on
    return max(1, min((today - start).days // 7 + 1, len(view.weeks))) if start else 1
