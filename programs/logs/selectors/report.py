"""The report of a block for the client: what was planned, what was done, what changed, and what comes next.

Everything is worked out from what stands on the day it is looked at; only the coach's own words are kept (`BlockNote`).
What a client took home is the paper or the file they were given.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db.models import QuerySet
from django.utils.safestring import SafeString

from clients.models import Client
from coachdesk.practice.models import Membership
from programs.figures import week_table
from programs.logs.models import BlockNote
from programs.logs.selectors.report_bests import BestLine, report_bests
from programs.logs.selectors.report_muscles import MuscleMean, muscle_means
from programs.logs.selectors.report_next import Coming, Proposal, coming, proposals
from programs.logs.selectors.report_sessions import Sessions, report_sessions
from programs.logs.selectors.report_strength import MOST_LINES, StrengthLine, report_strengths
from programs.logs.selectors.report_words import REPORT_CAUTIONS, in_short
from programs.logs.selectors.trends import MuscleTrend, muscles_over, planned_sets
from programs.models import Block, PainReport, Program
from programs.selectors import ProgramView, WeekView, program_view, programs_of, visible_blocks

# Wider than this the picture does not fit on paper: then each muscle's mean over the weeks stands alone.
MOST_PICTURED = 8
Span = tuple[int, int]


@dataclass(frozen=True)
class PainLine:
    """What was reported of one exercise (or the session as a whole): how often, and the most of it."""

    name: str
    count: int
    most: int
    morning: int | None


@dataclass(frozen=True)
class Report:
    """Everything the page and the paper show. `span`: weeks of the block, counted from its first."""

    block: Block
    client: Client
    span: Span
    first_on: date
    last_on: date
    today: date
    sessions: Sessions
    muscles: tuple[MuscleMean, ...]
    weeks_over: int
    picture: SafeString | None
    strengths: tuple[StrengthLine, ...]
    bests: tuple[BestLine, ...]
    pains: tuple[PainLine, ...]
    coming: Coming
    proposals: tuple[Proposal, ...]
    note: BlockNote | None
    others: tuple[Block, ...]
    kept: tuple[BlockNote, ...]

    @property
    def weeks(self) -> int:
        return self.span[1] - self.span[0] + 1

    @property
    def is_whole(self) -> bool:
        return self.span == (1, self.block.weeks)

    @property
    def has_begun(self) -> bool:
        return self.first_on <= self.today

    @property
    def is_over(self) -> bool:
        return self.last_on < self.today

    @property
    def in_short(self) -> tuple[str, ...]:
        return in_short(self.sessions, self.strengths, self.bests)

    @property
    def shown_strengths(self) -> tuple[StrengthLine, ...]:
        """As many as a side holds; the rest are counted in `more_strengths`."""
        return self.strengths[:MOST_LINES]

    @property
    def more_strengths(self) -> int:
        return max(0, len(self.strengths) - MOST_LINES)

    @property
    def shown_bests(self) -> tuple[BestLine, ...]:
        """As many as a side holds; the rest are counted in `more_bests`."""
        return self.bests[:MOST_LINES]

    @property
    def more_bests(self) -> int:
        return max(0, len(self.bests) - MOST_LINES)

    @property
    def cautions(self) -> tuple[str, ...]:
        return REPORT_CAUTIONS


def reportable_blocks(desk: Membership) -> QuerySet[Block]:
    """Blocks of visible clients' programmes: a template has nobody to report to."""
    return visible_blocks(desk).filter(program__client__isnull=False)


def blocks_of(program: Program) -> list[Block]:
    """A programme's blocks in order."""
    return list(program.blocks.order_by("first_week", "id"))


def latest_block(program: Program, today: date) -> Block | None:
    """The block that ended or runs last by a day, else the first; None for a template or without any."""
    found = blocks_of(program) if program.start_on else []
    begun = [block for block in found if first_day(program, block) <= today]
    return next(iter(begun[-1:] or found[:1]), None)


def block_to_report(client: Client, today: date) -> Block | None:
    """The block of a client that ended or runs last by a day, of the programme begun last; None without any."""
    begun = next((one for one in programs_of(client) if one.start_on and one.start_on <= today), None)
    return latest_block(begun, today) if begun else None


def first_day(program: Program, block: Block, week: int = 1) -> date:
    """The Monday of a block's week, counted from its first."""
    if program.start_on is None:
        raise ValueError("A template has no days.")
    return program.start_on + timedelta(weeks=block.first_week + week - 2)


def note_of(block: Block, span: Span) -> BlockNote | None:
    """What the coach wrote for these weeks."""
    return BlockNote.objects.filter(block=block, first_week=span[0], last_week=span[1]).first()


def block_report(block: Block, span: Span, *, today: date) -> Report:
    """The report of these weeks of a block with a client, as of a day."""
    program, client = block.program, block.program.client
    if client is None:
        raise ValueError("A template has nobody to report to.")
    first_on, last_on = first_day(program, block, span[0]), first_day(program, block, span[1]) + timedelta(days=6)
    view = program_view(program, client=client, on=today)
    shown = [week for week in view.weeks if week.monday and first_on <= week.monday <= last_on]
    sessions = report_sessions(client, shown, today=today)
    muscles = muscles_over(client, [w.monday for w in shown if w.monday], _planned(view, shown), today=today)
    means, over = muscle_means(muscles, today)
    strengths = report_strengths(client, first_on, min(last_on, today))
    blocks = blocks_of(program)
    following = coming(client, program, blocks, block, after=last_on, today=today)
    return Report(
        block, client, span, first_on, last_on, today, sessions, means, over, _picture(view, shown, muscles, today),
        strengths, report_bests(client, first_on, min(last_on, today)), _pains(client, first_on, last_on), following,
        proposals(view, sessions, means, strengths), note_of(block, span),
        tuple(blocks), tuple(block.notes.order_by("first_week", "last_week")),
    )  # fmt: skip


def _planned(view: ProgramView, shown: Sequence[WeekView]) -> dict[date, dict[str, float]]:
    here = {week.monday for week in shown}
    return {monday: sets for monday, sets in planned_sets(view).items() if monday in here}


def _picture(
    view: ProgramView, shown: Sequence[WeekView], muscles: Sequence[MuscleTrend], today: date
) -> SafeString | None:
    """The week table of a short block: done against planned in the weeks begun, planned alone in those to come."""
    if not shown or len(shown) > MOST_PICTURED:
        return None
    done = {
        (n, one.code): week_table.Sets(point.done, point.low, point.high)
        for one in muscles
        for n, point in enumerate(one.points)
        if point.monday <= today
    }
    bands: Mapping[str, week_table.Band | None] = {one.code: one.band for one in muscles}
    grow = [code for code, aim in view.traits.marks if aim == "grow"]
    rows = week_table.rows_of([week.totals for week in shown], bands, done, grow)
    heads = [week_table.Heading(f"Week {w.week_no}", f"{w.monday.day} {w.monday:%b}") for w in shown if w.monday]
    return week_table.week_table(rows, heads, "Sets per muscle, week by week", "report") if rows else None


def _pains(client: Client, first: date, last: date) -> tuple[PainLine, ...]:
    rows = client.pain_reports.filter(on__range=(first, last)).select_related("exercise").order_by("on", "id")
    found: dict[str, list[PainReport]] = {}
    for row in rows:
        if row.pain or row.next_morning:
            found.setdefault(row.exercise.name if row.exercise else "The session as a whole", []).append(row)
    return tuple(
        PainLine(
            name, len(some), max(row.pain for row in some),
            max((row.next_morning for row in some if row.next_morning is not None), default=None),
        )
        for name, some in sorted(found.items(), key=lambda item: (-len(item[1]), item[0]))
    )  # fmt: skip
