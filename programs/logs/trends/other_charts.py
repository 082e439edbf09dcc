"""Fatigue of a muscle over days, and left against right."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from typing import Any

import plotly.graph_objects as go

from coachdesk.templatetags.desk import day, in_unit
from programs.logs.trends.drawing import Cell, Chart, Head, Table, figure_dict, shown
from programs.logs.trends.fatigue import AHEAD, BACK, FatigueTrend
from programs.selectors.pain import SidedStrength

MODEL = (
    "A model that keeps the books of what sessions cost, in units of one fresh set to failure at 10RM; it is no"
    " measurement. Sessions done count as they were prescribed; skipped and missed ones and work without a plan do not."
)


def fatigue_chart(trend: FatigueTrend) -> Chart:
    """The line behind today, the line ahead of it, and the sessions as marks at their day."""
    at = [_at(trend.first, point.hour) for point in trend.line]
    units = [round(point.units, 2) for point in trend.line]
    now = sum(1 for one in at if one.date() < trend.today) + 1
    turn = max(0, now - 1)
    traces = [
        _line(at[:now], units[:now], "so far", "solid"), _line(at[turn:], units[turn:], "planned", "dash"),
        go.Scatter(
            x=[f"{on}T12:00" for on, _, _ in trend.peaks], y=[0] * len(trend.peaks), name="sessions", mode="markers",
            text=[f"{name}, {units:.1f} units" for _, name, units in trend.peaks], hovertemplate="%{text}",
        ),
    ]  # fmt: skip
    today = f"{trend.today}T00:00"
    layout: dict[str, Any] = {
        "xaxis": {"type": "date", "tickformat": "%a %-d %b", "dtick": 7 * 86_400_000, "tick0": trend.first.isoformat()},
        "yaxis": {"title": {"text": "fatigue units"}, "rangemode": "tozero"},
        "shapes": [{"type": "line", "yref": "paper", "y0": 0, "y1": 1, "x0": today, "x1": today, "name": "mark"}],
        "annotations": [_word(today, "so far", "right"), _word(today, "as planned from today", "left")],
    }  # fmt: skip
    several = "session done without a plan is" if trend.missing == 1 else "sessions done without a plan are"
    missing = f" {trend.missing} {several} left out." if trend.missing else ""
    rows = tuple((Cell(day(one.on), False), Cell(shown(one.units)), Cell(one.sessions, False)) for one in trend.days)
    heads = (Head("Day", is_number=False), Head("Units at noon"), Head("Sessions", is_number=False))
    return Chart(
        "fatigue", f"Fatigue over days, {trend.name.lower()}", trend.sentence, MODEL + missing,
        figure_dict(traces, layout),
        Table(f"Modelled fatigue, {trend.name.lower()}: {BACK} days behind, {AHEAD} ahead", heads, rows), in_step=False,
    )  # fmt: skip


def _word(x: str | float, text: str, anchor: str) -> dict[str, Any]:
    """A word above the picture, beside a line across it."""
    return {
        "x": x, "y": 1, "yref": "paper", "text": text, "showarrow": False, "xanchor": anchor, "yanchor": "bottom",
        "name": "word",
    }  # fmt: skip


def _at(first: date, hour: float) -> datetime:
    return datetime.combine(first, time()) + timedelta(hours=hour)


def _line(at: Sequence[datetime], units: Sequence[float], name: str, dash: str) -> go.Scatter:
    return go.Scatter(
        x=[one.isoformat(timespec="minutes") for one in at], y=list(units), name=name, mode="lines", meta="quiet",
        line={"dash": dash}, hovertemplate="%{y} units",
    )  # fmt: skip


def symmetry_chart(sides: Sequence[SidedStrength], limit: float, unit: str) -> Chart:
    """The index of each exercise with its 90 % range, against equal sides and the house rule."""
    names = [f"{one.name}, {one.machine}" if one.machine else one.name for one in sides]
    parts = [one.percents for one in sides]
    points = go.Scatter(
        x=[index for index, _, _ in parts], y=names, name="index", mode="markers", hovertemplate="%{x} %",
        error_x={
            "type": "data", "symmetric": False, "array": [high - index for index, _, high in parts],
            "arrayminus": [index - low for index, low, _ in parts],
        },
    )  # fmt: skip
    low = min([limit, *(one for _, one, _ in parts)])
    layout: dict[str, Any] = {
        "xaxis": {"title": {"text": "weaker side by stronger side, %"}, "range": [max(0, low - 5), 101]},
        "yaxis": {"type": "category", "autorange": "reversed"},
        "shapes": [{"type": "line", "yref": "paper", "y0": 0, "y1": 1, "x0": limit, "x1": limit, "name": "mark"}],
        "annotations": [_word(limit, f"rule {limit:g} %", "right")],
        "hovermode": "closest", "height": 120 + 40 * len(sides),
    }  # fmt: skip
    return Chart(
        "symmetry", "Left against right", _symmetry_sentence(sides, limit),
        "Two estimates with their doubt, as they stand today; not a test of readiness. The threshold is common practice"
        " in rehabilitation, no source.",
        figure_dict([points], layout), _symmetry_table(sides, names, unit), in_step=False,
    )  # fmt: skip


def _symmetry_sentence(sides: Sequence[SidedStrength], limit: float) -> str:
    under = [one for one in sides if one.percents[0] < limit]
    worst = min(sides, key=lambda one: one.symmetry.index)
    count = (
        f"{len(under)} of {len(sides)} exercises"
        if len(sides) > 1
        else ("The one exercise" if under else "No exercise")
    )
    side = f", the {worst.symmetry.weaker_words} side behind" if worst.symmetry.weaker else ""
    apart = f"the furthest apart is {worst.name} at {worst.percents[0]} %{side}"
    return f"{count} with both sides known stands below {limit:g} %; {apart}."


def _symmetry_table(sides: Sequence[SidedStrength], names: Sequence[str], unit: str) -> Table:
    heads = (
        Head("Exercise", is_number=False), Head("Left", unit), Head("Right", unit), Head("Index", "%"),
        Head("Low", "%"), Head("High", "%"), Head("Weaker", is_number=False),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(name, False), Cell(in_unit(one.left.mean_kg, unit)), Cell(in_unit(one.right.mean_kg, unit)),
            *(Cell(str(n)) for n in one.percents), Cell(one.symmetry.weaker_words, False),
        )
        for one, name in zip(sides, names, strict=True)
    )  # fmt: skip
    return Table("Symmetry, weaker side by stronger side", heads, rows)
