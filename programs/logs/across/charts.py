"""Dots with their intervals, one row a client or an exercise, and the table of the same numbers."""

from collections.abc import Sequence
from typing import Any

import plotly.graph_objects as go

from programs.logs.across.effort import Effort
from programs.logs.across.programme import ProgramClients
from programs.logs.trends.drawing import Cell, Chart, Head, Table, figure_dict, signed

ROW_PX, FRAME_PX = 34, 130


def dots(
    names: Sequence[str], middles: Sequence[float], lows: Sequence[float], highs: Sequence[float], title: str,
    hover: str,
) -> dict[str, Any]:  # fmt: skip
    """One dot a row with its interval, and a line at nothing; the first name stands at the top."""
    points = go.Scatter(
        x=list(middles), y=list(names), name=title, mode="markers", hovertemplate=hover,
        error_x={
            "type": "data", "symmetric": False,
            "array": [round(high - middle, 2) for high, middle in zip(highs, middles, strict=True)],
            "arrayminus": [round(middle - low, 2) for low, middle in zip(lows, middles, strict=True)],
        },
    )  # fmt: skip
    layout: dict[str, Any] = {
        "xaxis": {"title": {"text": title}}, "yaxis": {"type": "category", "range": [len(names) - 0.5, -0.5]},
        "shapes": [{"type": "line", "yref": "paper", "y0": 0, "y1": 1, "x0": 0, "x1": 0, "name": "mark"}],
        "hovermode": "closest", "height": FRAME_PX + ROW_PX * len(names),
    }  # fmt: skip
    return figure_dict([points], layout)


def program_chart(page: ProgramClients) -> Chart | None:
    """The change of the chosen lift by client; None where none can be told."""
    told = [(row.client.name, row.change) for row in page.rows if row.change]
    told.sort(key=lambda pair: -pair[1].percent)
    if not told or page.exercise is None:
        return None
    heads = (
        Head("Client", is_number=False), Head("Change", "% a week"), Head("Low", "%"), Head("High", "%"), Head("Sets"),
        Head("In words", is_number=False),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(name, False), Cell(signed(one.percent)), Cell(signed(one.low)), Cell(signed(one.high)),
            Cell(str(one.sets)), Cell(one.words, False),
        )
        for name, one in told
    )  # fmt: skip
    figure = dots(
        [name for name, _ in told], [round(one.percent, 1) for _, one in told], [round(one.low, 1) for _, one in told],
        [round(one.high, 1) for _, one in told], "change of the estimated maximum, % a week", "%{x} % a week",
    )  # fmt: skip
    return Chart(
        "change", f"Change of {page.exercise[1]}", page.sentence,
        "Largest rise first; the bars are 90 % intervals. Clients differ in more than their programme: this tells no "
        "cause.",
        figure, Table(f"Change of the estimated maximum, {page.exercise[1]}", heads, rows), in_step=False,
    )  # fmt: skip


def effort_chart(effort: Effort) -> Chart | None:
    """Typed less expected RIR by exercise; None without a typed answer."""
    if not effort.lines:
        return None
    heads = (
        Head("Exercise", is_number=False), Head("Sets"), Head("Typed", "RIR"), Head("Expected", "RIR"),
        Head("Difference"), Head("Low"), Head("High"),
    )  # fmt: skip
    rows = tuple(
        (
            Cell(one.name, False), Cell(str(one.sets)), Cell(f"{one.typed:.1f}"), Cell(f"{one.expected:.1f}"),
            Cell(signed(one.difference)), Cell(signed(one.low)), Cell(signed(one.high)),
        )
        for one in effort.lines
    )  # fmt: skip
    lines = effort.lines
    figure = dots(
        [one.name for one in lines], [round(one.difference, 1) for one in lines],
        [round(one.difference if one.low is None else one.low, 1) for one in lines],
        [round(one.difference if one.high is None else one.high, 1) for one in lines],
        "typed RIR less what the model expects, reps", "%{x} reps",
    )  # fmt: skip
    return Chart(
        "effort", "Typed against expected, by exercise", _effort_sentence(effort),
        "Right of the line more was left, as typed, than the model expects. Bars are 90 % intervals of the mean, none "
        "under five sets. The model has heard the same answers, so a difference that all sets share is hidden in it: "
        "only sets to failure show that one.",
        figure, Table("RIR as typed and as the model expects", heads, rows), in_step=False,
    )  # fmt: skip


def _effort_sentence(effort: Effort) -> str:
    above = sum(1 for one in effort.lines if one.low is not None and one.low > 0)
    below = sum(1 for one in effort.lines if one.high is not None and one.high < 0)
    count = len(effort.lines)
    words = "the one exercise" if count == 1 else f"{count} exercises"
    return f"Of {words}, answers are higher than expected in {above} and lower in {below}, clear of the doubt."
