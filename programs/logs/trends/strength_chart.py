"""Strength in one exercise over the days of evidence, with its interval and the sessions it came from."""

from collections.abc import Mapping, Sequence
from uuid import UUID

import plotly.graph_objects as go

from coachdesk.templatetags.desk import day_year, in_unit, signed_in_unit
from programs.logs.selectors.trends import StrengthPoint, StrengthTrend
from programs.logs.trends.drawing import Cell, Chart, Head, Table, figure_dict, over_weeks
from programs.logs.trends.reading import Gathered
from programs.logs.trends.window import Window

HEADS = ("Estimate", "Low", "High")


def strength_chart(trend: StrengthTrend, got: Gathered, window: Window, unit: str) -> Chart:
    """The estimated 1RM at each day of evidence, with its 90 % interval as bars."""
    logs = {row.key: row.pk for row in got.logs}
    layout = over_weeks(window, f"estimated 1RM, {unit}", got.away, got.marks)
    layout["yaxis"] = {"title": layout["yaxis"]["title"]}
    heads = (Head("On", is_number=False), *(Head(name, unit) for name in HEADS), Head("Evidence", is_number=False))
    rows = tuple(_row(point, logs, unit) for point in reversed(trend.points))
    return Chart(
        "strength", f"Estimated 1RM, {trend.name}", strength_sentence(trend, unit),
        "The bars are 90 % intervals; a point stands at each day that told something, up to 40 of them. Its session is "
        "linked below. An estimate rests on the last year before it.",
        figure_dict([_line(trend.points, unit)], layout),
        Table(f"Estimated 1RM, {trend.name}", heads, rows),
    )  # fmt: skip


def _value(kg: float, unit: str) -> float:
    return float(in_unit(kg, unit))


def _line(points: Sequence[StrengthPoint], unit: str) -> go.Scatter:
    values = [tuple(_value(kg, unit) for kg in (p.mean, p.low, p.high)) for p in points]
    return go.Scatter(
        x=[p.on.isoformat() for p in points], y=[mean for mean, _, _ in values], name="estimate", mode="lines+markers",
        hovertemplate=f"%{{y}} {unit}",
        error_y={
            "type": "data", "symmetric": False, "array": [round(high - mean, 1) for mean, _, high in values],
            "arrayminus": [round(mean - low, 1) for mean, low, _ in values],
        },
    )  # fmt: skip


def _row(point: StrengthPoint, logs: Mapping[UUID, int], unit: str) -> tuple[Cell, ...]:
    log = next((logs[key] for key in point.sources if key in logs), None)
    numbers = (Cell(f"{_value(kg, unit):.1f}") for kg in (point.mean, point.low, point.high))
    return (Cell(day_year(point.on), False), *numbers, Cell(point.evidence, False, log))


def strength_sentence(trend: StrengthTrend, unit: str = "kg") -> str:
    """One sentence on where the estimate stands and how far it moved."""
    if not trend.points:
        return f"Nothing that was logged in these weeks tells a maximum for {trend.name.lower()}."
    first, last = trend.points[0], trend.points[-1]
    mean, low, high = (in_unit(kg, unit) for kg in (last.mean, last.low, last.high))
    now = f"{trend.name} is estimated at {mean} {unit}, between {low} and {high} {unit} (90 %)"
    if len(trend.points) == 1:
        return f"{now}, from one day of evidence."
    moved = signed_in_unit(last.mean - first.mean, unit)
    words = "no more and no less" if moved == "0" else f"{moved} {unit}"
    return f"{now}, {words} since {day_year(first.on)}."
