"""A group's session on one day: everybody's prescription side by side on one clock, and who would have to wait."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from itertools import groupby
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import prefetch_related_objects
from django.utils.safestring import SafeString

from clients.mapping import house_rules
from clients.models import Client
from clients.selectors import with_traits
from coachdesk import engine
from coachdesk.engine.sharing import Clash, Swap
from programs.figures.clock import Bar, Lane, clock_svg
from programs.groups.stints import Item, pieces_of, rounds, starts_of, stints_of
from programs.mapping import Kits, Known
from programs.models import PlannedExercise, PlannedSession, StrengthEstimate, TrainingGroup
from programs.selectors import SessionView, planned_days
from programs.selectors.context import facts_of, traits_of
from programs.selectors.prescription import ExerciseView, exercise_views, session_plans

MINUTE = 60
# Planned minutes are not exact enough to speak of shorter waits; common practice, no source.
SHORTEST_WAIT_S = 120
# Planned session -> its stints by their first planned exercise, in a new order.
Orders = dict[int, tuple[int, ...]]


@dataclass(frozen=True)
class Cell:
    """One exercise of one member: what the engine makes of it, when it is done, and what must be waited for."""

    view: ExerciseView
    start: int
    end: int
    waits: tuple[str, ...]


@dataclass(frozen=True)
class Column:
    """One member; `view` is None when nothing is planned that day, `more` further sessions of the day."""

    client: Client
    view: SessionView | None
    more: int


@dataclass(frozen=True)
class Line:
    """One exercise over all members; None where a member does not do it."""

    name: str
    cells: tuple[Cell | None, ...]


@dataclass(frozen=True)
class Wait:
    """Too many need one thing at once: in words, and the exchange that helps most (its form's fields, or None)."""

    item: str
    words: str
    remedy: str
    session: int | None = None
    first: int | None = None
    second: int | None = None


@dataclass(frozen=True)
class Room:
    """The whole view. `orders`: the staggered order of each session by its id, empty when it would not help."""

    columns: tuple[Column, ...]
    lines: tuple[Line, ...]
    warnings: tuple[Wait, ...]
    orders: Orders
    clock: SafeString
    minutes: int
    is_template: bool

    @property
    def digest(self) -> str:
        """Alike only while staggering would write exactly the same."""
        return hashlib.sha256(repr(sorted(self.orders.items())).encode()).hexdigest()[:16]

    @property
    def order_words(self) -> list[str]:
        """'Jonas Eklev: Row, Bench press', for each session that staggering changes."""
        made = []
        for column in self.columns:
            keys = self.orders.get(column.view.row.pk, ()) if column.view else ()
            if column.view and keys:
                names = {one.row.pk: one.row.exercise.name for one in column.view.exercises}
                made.append(f"{column.client.name}: {', '.join(names[key] for key in keys)}")
        return made

    def exchange(
        self, session: int | None, first: int | None, second: int | None
    ) -> tuple[str, dict[int, tuple[int, ...]]]:
        """(label of the act, new order by session id) with two stints in each other's place. ValidationError."""
        column = next((c for c in self.columns if c.view and c.view.row.pk == session), None)
        keys = [rows[0].pk for rows in rounds(column.view.row)] if column and column.view else []
        if column is None or column.view is None or session is None or first not in keys or second not in keys:
            raise ValidationError("The plan has changed since this page was drawn; look at it again.")
        i, j = keys.index(first), keys.index(second)
        keys[i], keys[j] = keys[j], keys[i]
        names = {one.row.pk: one.row.exercise.name for one in column.view.exercises}
        return f"{column.client.name}: {names[second]} before {names[first]}", {session: tuple(keys)}

    @property
    def subjects(self) -> list[str]:
        """Programmes on the page, as names of undo stacks."""
        return [f"program:{c.view.row.block.program_id}" for c in self.columns if c.view]


def sessions_of(clients: Sequence[Client], on: date) -> dict[int, list[PlannedSession]]:
    """Every member's planned sessions of a day by client id, with all that prescribing them reads."""
    found = planned_days(clients, on, on)
    rows = PlannedSession.objects.filter(pk__in=[row.pk for _, _, row in found]).select_related("place", "block")
    known = {row.pk: row for row in rows.prefetch_related("exercises__exercise__muscles")}
    made: dict[int, list[PlannedSession]] = {}
    for client_id, _, row in sorted(found, key=lambda one: (one[2].position, one[2].pk)):
        made.setdefault(client_id, []).append(known[row.pk])
    return made


def template_sessions_of(clients: Sequence[Client], session: int) -> dict[int, list[PlannedSession]]:
    """One template's session for every member."""
    rows = PlannedSession.objects.filter(pk=session).select_related("place", "block")
    row = rows.prefetch_related("exercises__exercise__muscles").get()
    return {client.pk: [row] for client in clients}


@dataclass(frozen=True)
class _Clock:
    """Everybody's stints, how many there are of what they need, and where that is too few."""

    lines: dict[int, list[engine.Stint]]
    items: dict[str, Item]

    @property
    def counts(self) -> dict[str, int]:
        return {key: item.count for key, item in self.items.items()}

    @cached_property
    def clashes(self) -> tuple[Clash, ...]:
        found = engine.clashes(self.lines, self.counts)
        return tuple(one for one in found if one.end_s - one.start_s >= SHORTEST_WAIT_S)


def room(
    group: TrainingGroup, clients: Sequence[Client], on: date, sessions: Mapping[int, list[PlannedSession]],
    *, is_template: bool = False,
) -> Room:  # fmt: skip
    """Everybody's session of the day on the group's place, each from their own maxima."""
    people = with_traits(clients)
    _with_equipment(group, people, sessions)
    estimates: dict[int, list[StrengthEstimate]] = {}
    for row in StrengthEstimate.objects.filter(client__in=[c.pk for c in people]):
        estimates.setdefault(row.client_id, []).append(row)
    told, kits = facts_of([c.pk for c in people]), Kits()
    clock, columns = _Clock({}, {}), []
    for client in people:
        mine = sessions.get(client.pk, [])
        view = None
        if mine:
            facts = told.get(client.pk, {})
            known_now = Known(estimates.get(client.pk, []), facts=facts)
            view = _view(mine[0], client, traits_of(client, on, facts), known_now, group, kits, on)
        columns.append(Column(client, view, max(0, len(mine) - 1)))
        if view is not None:
            pieces = pieces_of(group.place or view.row.place or client.place)
            clock.lines[client.pk], known = stints_of(view.row, view.prescribed, pieces)
            clock.items.update(known)
    minutes = max((sum(one.seconds for one in stints) for stints in clock.lines.values()), default=0.0)
    orders = {} if is_template or not clock.clashes else _orders(columns, clock)
    return Room(
        tuple(columns), _lines(columns, clock), _warnings(columns, clock, is_template), orders,
        _picture(columns, clock), round(minutes / MINUTE), is_template,
    )  # fmt: skip


def _with_equipment(
    group: TrainingGroup, people: Sequence[Client], sessions: Mapping[int, list[PlannedSession]]
) -> None:
    """The equipment of every place that may be used, in one query."""
    places = [group.place, *(c.place for c in people), *(row.place for rows in sessions.values() for row in rows)]
    prefetch_related_objects([place for place in places if place], "equipment")


def _view(
    row: PlannedSession, client: Client, traits: engine.ClientTraits, known: Known, group: TrainingGroup, kits: Kits,
    on: date,
) -> SessionView:  # fmt: skip
    if group.place is not None:
        # They train at the group's place, wherever the plan would have each of them train alone.
        row.place = group.place
    (plan,) = session_plans([row], client, known, kits)
    done = engine.prescribe_session(plan, traits, house_rules(client))
    rows = sorted(row.exercises.all(), key=lambda one: (one.position, one.pk))
    views = exercise_views(rows, plan, done)
    return SessionView(row, done, views, on)


def _lines(columns: Sequence[Column], clock: _Clock) -> tuple[Line, ...]:
    """Exercises in the order of the first who does them; the second time of one in a session is a line of its own."""
    who = {column.client.pk: column.client.name for column in columns}
    order: list[tuple[int, int]] = []
    names: dict[tuple[int, int], str] = {}
    cells: dict[tuple[int, int], dict[int, Cell]] = {}
    for column in columns:
        if column.view is None:
            continue
        spans = starts_of(clock.lines[column.client.pk], column.view.row)
        waits = _waits(column.client.pk, who, spans, clock)
        after = 0
        for key, view in _numbered(column.view.exercises):
            if key not in names:
                order.insert(after, key)
                names[key] = view.row.exercise.name
            after = order.index(key) + 1
            start, end = spans[view.row.pk]
            cell = Cell(view, round(start / MINUTE), round(end / MINUTE), waits.get(view.row.pk, ()))
            cells.setdefault(key, {})[column.client.pk] = cell
    return tuple(Line(names[key], tuple(cells[key].get(c.client.pk) for c in columns)) for key in order)


def _picture(columns: Sequence[Column], clock: _Clock) -> SafeString:
    short = {(use.person, use.stint.key) for clash in clock.clashes for use in clash.uses}
    uses = engine.on_one_clock(clock.lines)
    lanes = []
    for column in (column for column in columns if column.view):
        names = _stint_names(column)
        mine = [use for use in uses if use.person == column.client.pk]
        bars = (Bar(names[use.stint.key], use.start_s, use.end_s, (use.person, use.stint.key) in short) for use in mine)
        lanes.append(Lane(column.client.name, tuple(bars)))
    return clock_svg(lanes)


def _stint_names(column: Column) -> dict[Any, str]:
    """'Bench press and Row' for a superset, by the stint's key."""
    if column.view is None:
        return {}
    return {rows[0].pk: " and ".join(row.exercise.name for row in rows) for rows in rounds(column.view.row)}


def _numbered(views: Sequence[ExerciseView]) -> list[tuple[tuple[int, int], ExerciseView]]:
    seen: dict[int, int] = {}
    made = []
    for view in views:
        n = seen[view.row.exercise_id] = seen.get(view.row.exercise_id, 0) + 1
        made.append(((view.row.exercise_id, n), view))
    return made


def _waits(
    person: int, names: Mapping[Any, str], spans: Mapping[int, tuple[float, float]], clock: _Clock
) -> dict[int, tuple[str, ...]]:
    """What is short for a person and who else needs it then, by planned exercise."""
    found: dict[int, dict[str, dict[str, None]]] = {}
    for clash in clock.clashes:
        others = dict.fromkeys(names[one.person] for one in clash.uses if one.person != person)
        for use in (use for use in clash.uses if use.person == person):
            for pk in (pk for pk, span in spans.items() if span == (use.start_s, use.end_s)):
                found.setdefault(pk, {}).setdefault(clock.items[str(clash.item)].name, {}).update(others)
    return {
        pk: tuple(f"{item}, with {' and '.join(others)}" for item, others in items.items())
        for pk, items in found.items()
    }


def _spans(found: Sequence[Clash]) -> str:
    """'0 to 8, 30 to 35' in minutes; spans that touch are one."""
    joined: list[tuple[float, float]] = []
    for clash in found:
        if joined and clash.start_s <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], clash.end_s))
        else:
            joined.append((clash.start_s, clash.end_s))
    return ", ".join(f"{start / MINUTE:.0f} to {end / MINUTE:.0f}" for start, end in joined)


def _warnings(columns: Sequence[Column], clock: _Clock, is_template: bool) -> tuple[Wait, ...]:
    """One for each thing that is short, with every span, and one exchange that helps."""
    made = []
    by_item = sorted(clock.clashes, key=lambda one: str(one.item))
    for key, rows in groupby(by_item, key=lambda one: str(one.item)):
        found = list(rows)
        swap = engine.best_swap(clock.lines, clock.counts, found[0])
        made.append(_warning(columns, found, clock.items[key], swap, is_template))
    return tuple(made)


def _warning(
    columns: Sequence[Column], found: Sequence[Clash], item: Item, swap: Swap | None, is_template: bool
) -> Wait:
    who: dict[Any, Column] = {c.client.pk: c for c in columns}
    rows = {one.row.pk: one.row for c in columns if c.view for one in c.view.exercises}
    needs = dict.fromkeys(
        f"{who[use.person].client.name} ({_name(rows, use.stint.key)})" for clash in found for use in clash.uses
    )
    name = f"{item.name[0].upper()}{item.name[1:]}"
    words = f"{name}, {item.words}: needed by {', '.join(needs)}; minutes {_spans(found)}."
    if swap is None:
        return Wait(item.key, words, "No exchange of two exercises helps; let one begin later, or change it.")
    first, second = _name(rows, swap.first), _name(rows, swap.second)
    rest = round(swap.left_s / MINUTE)
    then = "then nobody waits" if swap.left_s < SHORTEST_WAIT_S else f"then {rest} min still clash over all"
    remedy = f"{who[swap.person].client.name}: {second} before {first}; {then}"
    view = who[swap.person].view
    if is_template or view is None:
        return Wait(item.key, words, remedy)
    return Wait(item.key, words, remedy, view.row.pk, int(swap.first), int(swap.second))


def _name(rows: Mapping[int, PlannedExercise], key: Any) -> str:
    return rows[key].exercise.name


def _orders(columns: Sequence[Column], clock: _Clock) -> dict[int, tuple[int, ...]]:
    """The staggered order of each session that would change, by its id."""
    made = {}
    for person, keys in engine.staggered(clock.lines, clock.counts).items():
        view = next(c.view for c in columns if c.client.pk == person)
        if view is not None and keys != tuple(stint.key for stint in clock.lines[int(person)]):
            made[view.row.pk] = tuple(int(key) for key in keys)
    return made
