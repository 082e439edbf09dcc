"""The week table: muscles down, weeks across, planned and done sets against the band, as an HTML table."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from coachdesk import engine
from programs.figures.svg import mark, number, px

Band = tuple[float, float]
# The bracket under a number: 48 px for 0 sets up to the table's own most; static/css/figures.css has the same size.
WIDTH, HEIGHT = 48.0, 7.0
_SLACK = 1e-6


@dataclass(frozen=True)
class Sets:
    """Fractional sets of one muscle in one week with their low and high count."""

    count: float
    low: float
    high: float


@dataclass(frozen=True)
class Cell:
    """One muscle in one week; None where nothing is planned, or nothing has been done yet."""

    planned: Sets | None
    done: Sets | None = None

    @property
    def shown(self) -> Sets | None:
        """What stands large: what was done, else what is planned."""
        return self.done or self.planned


@dataclass(frozen=True)
class Row:
    """One muscle over the weeks, with its band (None: the coach decides); `grow`: too little of it matters."""

    code: str
    name: str
    band: Band | None
    cells: tuple[Cell, ...]
    grow: bool = False


@dataclass(frozen=True)
class Heading:
    """The head of a week: 'Week 4', 'Mon 14 Dec', its address, and whether it is the one shown above."""

    name: str
    date: str = ""
    url: str = ""
    is_shown: bool = False


@dataclass(frozen=True)
class Bracket:
    """Px from the left: both ends of the band, and the number."""

    low: float
    high: float
    at: float


def outside(sets: Sets, band: Band | None) -> str:
    """'above' only by the low count, 'below' only by the high count, else nothing."""
    if band is None:
        return ""
    return "above" if sets.low > band[1] + _SLACK else "below" if sets.high < band[0] - _SLACK else ""


def sets_of(week: engine.MuscleWeek) -> Sets:
    """A muscle's planned week."""
    return Sets(week.fractional, week.low, week.high)


def rows_of(
    weeks: Sequence[engine.WeekTotals | None], bands: Mapping[str, Band | None],
    done: Mapping[tuple[int, str], Sets] | None = None, grow: Collection[str] = (),
) -> tuple[Row, ...]:  # fmt: skip
    """Rows of every muscle that is trained in any week, in the engine's order. `done` by (place of the week, code)."""
    planned = [dict(week.muscles) if week else {} for week in weeks]
    made = done or {}
    rows = []
    for muscle in engine.MUSCLES:
        code = muscle.code
        cells = tuple(
            Cell(sets_of(week[code]) if code in week else None, made.get((i, code))) for i, week in enumerate(planned)
        )
        if any(cell.shown for cell in cells):
            rows.append(Row(code, muscle.name, bands.get(code), cells, code in grow))
    return tuple(rows)


def most_of(rows: Sequence[Row]) -> float:
    """The right end of every bracket's scale: the most sets or the highest band in the table, at least 1."""
    ends = [row.band[1] for row in rows if row.band]
    return max([1.0, *ends, *(cell.shown.count for row in rows for cell in row.cells if cell.shown)])


def bracket(band: Band, count: float, most: float, width: float = WIDTH) -> Bracket:
    """Where the band and the number stand on a scale from 0 to `most` that is `width` px wide."""
    low, high, at = (width * min(1.0, max(0.0, value / most)) for value in (*band, count))
    return Bracket(low, high, at)


def week_table(rows: Sequence[Row], headings: Sequence[Heading], caption: str, key: str = "weeks") -> SafeString:
    """The table. `key` makes its ids: one per page."""
    most = most_of(rows)
    head = "".join(_heading(heading, f"{key}-{i}") for i, heading in enumerate(headings, 1))
    body = "".join(_row(row, most) for row in rows)
    return mark_safe(
        f'<table class="ledger pinned week-table">'
        f'<caption id="cap-{key}" class="visually-hidden">{escape(caption)}</caption>'
        f'<thead><tr><th scope="col">Muscle</th><th scope="col" class="num">Band</th>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )


def _heading(heading: Heading, key: str) -> str:
    name: str = escape(heading.name)
    if heading.url:
        name = f'<a id="{key}" href="{escape(heading.url)}">{name}</a>'
    date = f'<span class="week-date">{escape(heading.date)}</span>' if heading.date else ""
    shown = ' class="num is-shown" aria-current="true"' if heading.is_shown else ' class="num"'
    return f'<th scope="col"{shown}>{name}{date}</th>'


def _row(row: Row, most: float) -> str:
    band = f"{number(row.band[0])}-{number(row.band[1])}" if row.band else ""
    cells = "".join(_cell(cell, row, most) for cell in row.cells)
    return f'<tr><th scope="row">{escape(row.name)}</th><td class="num muted">{band}</td>{cells}</tr>'


def _cell(cell: Cell, row: Row, most: float) -> str:
    sets = cell.shown
    if sets is None:
        return '<td class="num"></td>'
    where = outside(sets, row.band)
    # Too little is only marked where the coach wants the muscle to grow, as the flags do.
    is_marked = where == "above" or (where == "below" and row.grow)
    planned = f'<span class="planned">of {number(cell.planned.count)}</span>' if cell.done and cell.planned else ""
    if where:
        planned += f'<span class="{"planned" if is_marked else "visually-hidden"}"> {where}</span>'
    now = f"{mark('check')}{number(sets.count)}" if is_marked else number(sets.count)
    picture = _bracket_svg(bracket(row.band, sets.count, most)) if row.band else ""
    kind = "num reading outside" if is_marked else "num reading"
    return f'<td class="{kind}"><span class="now">{now}</span>{picture}{planned}</td>'


def _bracket_svg(made: Bracket) -> str:
    return (
        f'<svg class="band-bracket" aria-hidden="true"><path d="M{px(made.low)} 1.5v4H{px(made.high)}v-4"/>'
        f'<path class="at" d="M{px(made.at)} 0v{px(HEIGHT)}"/></svg>'
    )
