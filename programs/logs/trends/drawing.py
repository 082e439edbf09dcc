"""A chart of the trends page: its figure for Plotly, its sentence, and the table of the same numbers beneath it.

Figures are plain dicts for `json_script`, without colours: those come from the page's tokens (chart.js).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

import plotly.graph_objects as go

from coachdesk.templatetags.desk import day
from programs.logs.trends.reading import Away, Mark
from programs.logs.trends.window import Window

# So many weeks lie between two marked Mondays.
MARKED = {12: 2, 26: 4, 52: 8, 156: 26}


@dataclass(frozen=True)
class Cell:
    """What a table shows; `log` is the session log it leads to."""

    text: str
    is_number: bool = True
    log: int | None = None


@dataclass(frozen=True)
class Head:
    """A column's name, the unit of its numbers, and whether it holds numbers."""

    name: str
    unit: str = ""
    is_number: bool = True


@dataclass(frozen=True)
class Table:
    """Columns and rows; the first cell of a row names it."""

    caption: str
    heads: tuple[Head, ...]
    rows: tuple[tuple[Cell, ...], ...]


@dataclass(frozen=True)
class Chart:
    """One picture. `code` is its name in the page's ids; `note` says how to read it or what it cannot say.

    `in_step`: its axis of days is that of the other charts, so that they zoom together.
    """

    code: str
    title: str
    sentence: str
    note: str
    figure: dict[str, Any]
    table: Table
    in_step: bool = True

    @property
    def figure_id(self) -> str:
        return f"chart-{self.code}"


def shown(value: float | None, places: int = 1) -> str:
    """A number as tables hold it: '12', '4.5', '8,120'; nothing for None."""
    if value is None:
        return ""
    text = f"{value:,.{places}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def signed(value: float | None) -> str:
    """A change to one decimal with its sign: '+0.4', '-1.0', '0.0'; nothing for None."""
    if value is None:
        return ""
    text = f"{value:+.1f}"
    return "0.0" if text in ("+0.0", "-0.0") else text


def figure_dict(traces: Sequence[Any], layout: dict[str, Any]) -> dict[str, Any]:
    """The figure as JSON-ready values, each part checked by Plotly as it is made.

    Not by way of a whole `Figure`, which brings Plotly's own template along: a fifth of the page's time.
    """
    return {"data": [one.to_plotly_json() for one in traces], "layout": go.Layout(**layout).to_plotly_json()}


def bars(weeks: Sequence[date], values: Sequence[float | None], name: str, hover: str = "") -> Any:
    """What was done, week by week."""
    words = f"%{{y}}{hover or f' {name}'}"
    return go.Bar(x=[one.isoformat() for one in weeks], y=list(values), name=name, hovertemplate=words)


def line(days: Sequence[date], values: Sequence[float | None], name: str, hover: str = "", **more: Any) -> Any:
    """A line through the days whose value is known."""
    known = [(on, value) for on, value in zip(days, values, strict=True) if value is not None]
    return go.Scatter(
        x=[on.isoformat() for on, _ in known], y=[value for _, value in known], name=name, mode="lines+markers",
        hovertemplate=f"%{{y}}{hover or f' {name}'}", **more,
    )  # fmt: skip


def level(window: Window, value: float, name: str) -> Any:
    """A level line across the whole window."""
    ends = [window.first.isoformat(), window.mondays[-1].isoformat()]
    return go.Scatter(x=ends, y=[value, value], name=name, mode="lines", hoverinfo="skip")


def over_weeks(window: Window, title: str, away: Sequence[Away], marks: Sequence[Mark]) -> dict[str, Any]:
    """The layout of charts in step: weeks across, the same days on each, days away and tests marked."""
    half = timedelta(days=4)
    # Mondays from the latest back: left alone, the axis would be marked on Sundays
    marked = [one.isoformat() for one in window.mondays[:: -MARKED.get(window.weeks, 8)]]
    return {
        "xaxis": {
            "type": "date", "tickformat": "%-d %b" if window.weeks <= 26 else "%-d %b %y", "tickvals": marked,
            "range": [(window.first - half).isoformat(), (window.mondays[-1] + half).isoformat()],
        },
        "yaxis": {"title": {"text": title}, "rangemode": "tozero"},
        "shapes": [*(_away(one) for one in away), *(_mark(one) for one in marks)],
        "annotations": [
            *(_word(one.first, one.kind) for one in away),
            *(_word(one.on, one.words.split(":")[0].lower(), 1) for one in marks),
        ],
    }  # fmt: skip


def _away(one: Away) -> dict[str, Any]:
    ends = {"x0": one.first.isoformat(), "x1": (one.last + timedelta(days=1)).isoformat()}
    return {"type": "rect", "yref": "paper", "y0": 0, "y1": 1, "name": "away", "layer": "below", **ends}


def _mark(one: Mark) -> dict[str, Any]:
    at = {"x0": one.on.isoformat(), "x1": one.on.isoformat()}
    return {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "name": "mark", **at}


def _word(on: date, text: str, row: int = 0) -> dict[str, Any]:
    """A word at the top; tests stand a line below days away."""
    return {
        "x": on.isoformat(), "y": 1, "yref": "paper", "text": text, "showarrow": False, "xanchor": "left",
        "yanchor": "bottom" if row == 0 else "top", "name": "word",
    }  # fmt: skip


def calendar_words(monday: date, away: Sequence[Away], marks: Sequence[Mark]) -> str:
    """What the calendar says of a week: 'illness Tue 3 Nov to Fri 6 Nov; Test: Back squat'."""
    last = monday + timedelta(days=6)
    parts = [away_words(one) for one in away if one.first <= last and one.last >= monday]
    return "; ".join([*parts, *(f"{one.words}, {day(one.on)}" for one in marks if monday <= one.on <= last)])


def away_words(one: Away) -> str:
    """'illness Tue 3 Nov to Fri 6 Nov (flu)'."""
    days = day(one.first) if one.first == one.last else f"{day(one.first)} to {day(one.last)}"
    return f"{one.kind} {days}{f' ({one.note})' if one.note else ''}"


def week_table(
    caption: str, heads: Sequence[Head], window: Window, values: Sequence[Sequence[str]], away: Sequence[Away],
    marks: Sequence[Mark],
) -> Table:  # fmt: skip
    """A row a week, the latest first; a column for the calendar where it says anything."""
    told = bool(away or marks)
    rows = []
    for monday, texts in zip(window.mondays, values, strict=True):
        cells = [Cell(_monday(monday, window), is_number=False)]
        cells += [Cell(text, head.is_number) for text, head in zip(texts, heads, strict=True)]
        rows.append((*cells, *([Cell(calendar_words(monday, away, marks), is_number=False)] if told else [])))
    extra = (Head("Calendar", is_number=False),) if told else ()
    return Table(caption, (Head("Week of", is_number=False), *heads, *extra), tuple(reversed(rows)))


def _monday(monday: date, window: Window) -> str:
    return day(monday) if window.weeks <= 26 else f"{day(monday)} {monday.year}"
