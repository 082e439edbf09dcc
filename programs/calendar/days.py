"""Dates and rows of a client's plan: which programmes and sessions there are, when each falls, what is logged."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from clients.models import Client
from coachdesk.practice.tape import Gone
from programs.models import Block, PlannedSession, Program
from programs.selectors import session_on, weeks_of

WEEK = 7


@dataclass
class Plan:
    """One programme of a client with its blocks and its sessions in order of their days.

    `logged`: ids of sessions that have a log, done or skipped; nothing moves them any more.
    """

    program: Program
    blocks: list[Block]
    sessions: list[PlannedSession]
    logged: set[int] = field(default_factory=set)

    @property
    def start_on(self) -> date:
        """The programme's first Monday; a client's programme always has one."""
        if self.program.start_on is None:
            raise ValueError("a template has no days")
        return self.program.start_on

    @property
    def last_on(self) -> date:
        """The Sunday of its last week."""
        return self.start_on + timedelta(weeks=weeks_of(self.blocks), days=-1)

    def on(self, session: PlannedSession) -> date:
        """The day a session of this programme falls on."""
        return self.start_on + timedelta(weeks=session.week_no - 1, days=session.day)

    def place_of(self, on: date) -> tuple[int, int]:
        """(week number, day from 0 for Monday) of a date; the number is out of range where the date is."""
        days = (on - self.start_on).days
        return days // WEEK + 1, days % WEEK


def plans_of(client: Client, *, exercises: bool = False) -> list[Plan]:
    """The client's programmes that are not archived, earliest first. Three queries, five with exercises."""
    programs = list(client.programs.filter(archived_on=None).order_by("start_on", "id"))
    rows = PlannedSession.objects.filter(block__program__in=[p.pk for p in programs]).select_related("place", "block")
    if exercises:
        rows = rows.prefetch_related("exercises__exercise__muscles")
    blocks = list(Block.objects.filter(program__in=[p.pk for p in programs]).order_by("first_week", "id"))
    made = {p.pk: Plan(p, [b for b in blocks if b.program_id == p.pk], []) for p in programs}
    for row in rows.order_by("week_no", "day", "position", "id"):
        row.block.program = made[row.block.program_id].program
        made[row.block.program_id].sessions.append(row)
    # Logs live above this app; they are asked for by the name that rows know them by.
    logged = set(client.session_logs.exclude(planned_session=None).values_list("planned_session_id", flat=True))
    for plan in made.values():
        plan.logged = {s.pk for s in plan.sessions} & logged
    return list(made.values())


def plan_of(session: PlannedSession) -> Plan:
    """The plan that holds this session, with exercises. Raises Gone where its programme was archived meanwhile."""
    program = session.block.program
    if program.client is None:
        raise ValueError("a template has no days")
    found = [plan for plan in plans_of(program.client, exercises=True) if plan.program.pk == program.pk]
    if not found:
        raise Gone(f"{program.name} was archived meanwhile")
    return found[0]


def is_logged(session: PlannedSession) -> bool:
    """Whether something was logged from this session, done or skipped."""
    client = session.block.program.client
    return client is not None and client.session_logs.filter(planned_session=session.pk).exists()


def day_words(on: date) -> str:
    """'Tue 24 Nov'."""
    return f"{on:%a} {on.day} {on:%b}"


def range_words(first: date, last: date) -> str:
    """'Sat 5 to Sun 13 Dec', 'Tue 29 Dec to Sat 2 Jan', or the one day."""
    if first == last:
        return day_words(first)
    same = (first.year, first.month) == (last.year, last.month)
    return f"{f'{first:%a} {first.day}' if same else day_words(first)} to {day_words(last)}"


def listed(words: Iterable[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    parts = list(words)
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


__all__ = ["Plan", "day_words", "is_logged", "listed", "plan_of", "plans_of", "range_words", "session_on"]
