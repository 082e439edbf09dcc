"""Figures for the trends page, built with Plotly: numbers, axes and names; colours come from the page's tokens.

A figure is a plain dict {"data": [...], "layout": {...}} for `json_script`; the table beneath it is drawn from the
same trend, so both hold the same numbers.
"""

from typing import Any

import plotly.graph_objects as go

from programs.logs.selectors.trends import MuscleTrend, StrengthTrend


def figure_dict(traces: list[Any], layout: dict[str, Any], quiet: tuple[int, ...] = ()) -> dict[str, Any]:
    """The figure as JSON-ready values without Plotly's own template; `quiet` traces get no name at their end."""
    made = go.Figure(data=traces, layout=go.Layout(**layout)).to_plotly_json()
    made["layout"].pop("template", None)
    for index in quiet:
        made["data"][index]["quiet"] = True
    return {"data": list(made["data"]), "layout": made["layout"]}


def weekly_sets_figure(trend: MuscleTrend) -> dict[str, Any]:
    """Bars of sets done, a line of sets planned, and the band's two edges, by week."""
    weeks = [point.monday.isoformat() for point in trend.points]
    done = go.Bar(x=weeks, y=[round(p.done, 2) for p in trend.points], name="done", hovertemplate="%{y} done")
    with_plan = [p for p in trend.points if p.planned is not None]
    planned = go.Scatter(
        x=[p.monday.isoformat() for p in with_plan], y=[round(p.planned or 0.0, 2) for p in with_plan],
        name="planned", mode="lines+markers", hovertemplate="%{y} planned",
    )  # fmt: skip
    edges = [
        go.Scatter(x=weeks, y=[edge] * len(weeks), name=f"band {edge:g}", mode="lines", hoverinfo="skip")
        for edge in trend.band or ()
    ]
    layout = {
        # every other Monday from the latest back: left alone, the axis would be marked on Sundays
        "xaxis": {"title": {"text": "week of"}, "type": "date", "tickformat": "%-d %b", "tickvals": weeks[::-2]},
        "yaxis": {"title": {"text": f"fractional sets, {trend.name.lower()}"}, "rangemode": "tozero"},
    }
    return figure_dict([done, planned, *edges], layout)


def strength_figure(trend: StrengthTrend) -> dict[str, Any]:
    """The estimated 1RM at each day of evidence, with its 90 % interval as bars."""
    line = go.Scatter(
        x=[p.on.isoformat() for p in trend.points], y=[round(p.mean, 1) for p in trend.points], name=trend.name,
        mode="lines+markers", hovertemplate="%{y} kg",
        error_y={
            "type": "data", "symmetric": False,
            "array": [round(round(p.high, 1) - round(p.mean, 1), 1) for p in trend.points],
            "arrayminus": [round(round(p.mean, 1) - round(p.low, 1), 1) for p in trend.points],
        },
    )  # fmt: skip
    layout = {
        "xaxis": {"type": "date", "tickformat": "%-d %b"},
        "yaxis": {"title": {"text": "estimated 1RM, kg"}},
    }
    return figure_dict([line], layout)


def weekly_sets_sentence(trend: MuscleTrend) -> str:
    """One sentence on what the bars show."""
    weeks = [p for p in trend.points if p.done]
    if not weeks:
        return f"No sets for {trend.name.lower()} were done in these {len(trend.points)} weeks."
    mean = sum(p.done for p in weeks) / len(weeks)
    span = "one week" if len(weeks) == 1 else f"{len(weeks)} weeks"
    start = f"{trend.name} had {mean:.1f} fractional sets a week over the {span} with training"
    if trend.band is None:
        return f"{start}; its band is the coach's to set."
    low, high = trend.band
    above = sum(1 for p in weeks if p.low > high)
    below = sum(1 for p in weeks if p.high < low)
    # A week is outside only when the count that speaks for it is outside too.
    counted = f"{below} of them below it by the high count and {above} above it by the low count"
    return f"{start}; the band is {low:g} to {high:g}, with {counted}."


def strength_sentence(trend: StrengthTrend) -> str:
    """One sentence on where the estimate stands and how far it moved."""
    if not trend.points:
        return f"Nothing that was logged tells a maximum for {trend.name.lower()} yet."
    first, last = trend.points[0], trend.points[-1]
    now = f"{trend.name} is estimated at {last.mean:.1f} kg, between {last.low:.1f} and {last.high:.1f} kg (90 %)"
    if len(trend.points) == 1:
        return f"{now}, from one day of evidence."
    return f"{now}, {last.mean - first.mean:+.1f} kg since {first.on.day} {first.on:%b %Y}."
