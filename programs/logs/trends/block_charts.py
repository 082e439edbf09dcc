"""Block against block: sets per muscle as pairs of bars, what became of lifts as pairs of dots."""

from collections.abc import Sequence
from typing import Any

import plotly.graph_objects as go

from coachdesk import engine
from programs.logs.selectors.report_strength import StrengthLine
from programs.logs.trends.blocks import BlockSide
from programs.logs.trends.drawing import Cell, Chart, Head, Table, figure_dict, signed

ROW_PX, FRAME_PX = 44, 130
# Of a row: how far the two dots of an exercise stand from its middle.
APART = 0.17
Sides = tuple[BlockSide, BlockSide]


def block_charts(sides: Sides) -> list[Chart]:
    """Sets first, then lifts with evidence in either block."""
    charts = [_sets_chart(sides), _lifts_chart(sides)]
    return [chart for chart in charts if chart is not None]


def _layout(title: str, rows: int, **more: Any) -> dict[str, Any]:
    return {
        "xaxis": {"title": {"text": title}, **more}, "yaxis": {"type": "category", "autorange": "reversed"},
        "hovermode": "closest", "showlegend": True, "height": FRAME_PX + ROW_PX * rows,
        "legend": {"orientation": "h", "x": 0, "y": 1, "yanchor": "bottom"},
    }  # fmt: skip


def _sets_chart(sides: Sides) -> Chart | None:
    muscles = [m for m in engine.MUSCLES if any(m.code in side.sets for side in sides)]
    if not muscles:
        return None
    values = [[round(side.sets.get(m.code, 0.0), 1) for m in muscles] for side in sides]
    names = [m.name for m in muscles]
    traces = [
        go.Bar(x=some, y=names, orientation="h", name=side.choice.name, hovertemplate="%{x} sets a week")
        for side, some in zip(sides, values, strict=True)
    ]
    rows = tuple(
        (Cell(name, False), Cell(f"{one:.1f}"), Cell(f"{other:.1f}"), Cell(signed(other - one)))
        for name, one, other in zip(names, *values, strict=True)
    )
    heads = (Head("Muscle", is_number=False), *(Head(side.choice.name) for side in sides), Head("Change"))
    return Chart(
        "block-sets", "Sets a week", _sets_sentence(names, values, sides),
        "Fractional sets done a week, means of the weeks that are over; the second block's bars are hatched.",
        figure_dict(traces, _layout("fractional sets a week", len(names), rangemode="tozero")),
        Table("Fractional sets done a week", heads, rows), in_step=False,
    )  # fmt: skip


def _sets_sentence(names: Sequence[str], values: Sequence[Sequence[float]], sides: Sides) -> str:
    gaps = sorted(zip((b - a for a, b in zip(*values, strict=True)), names, strict=True))
    (least, down), (most, up) = gaps[0], gaps[-1]
    parts = [f"{up} rose most ({most:+.1f} sets a week)"] if most > 0 else []
    parts += [f"{down} fell most ({least:+.1f})"] if least < 0 else []
    start = f"From {sides[0].choice.name} to {sides[1].choice.name}"
    return f"{start}: {' and '.join(parts)}." if parts else f"{start} no muscle's sets changed."


def _told(line: StrengthLine | None) -> tuple[float, float, float] | None:
    """Change over the block in per cent, with its 90 % interval."""
    change = line.change if line else None
    return None if change is None else tuple(round(100 * (r - 1), 1) for r in (change.ratio, change.low, change.high))  # type: ignore[return-value]


def _lifts_chart(sides: Sides) -> Chart | None:
    names = sorted(set(sides[0].lifts) | set(sides[1].lifts))
    told = [{name: found for name in names if (found := _told(side.lifts.get(name)))} for side in sides]
    names = [name for name in names if name in told[0] or name in told[1]]
    if not names:
        return None
    heads = (
        Head("Exercise", is_number=False),
        *(head for side in sides for head in (Head(side.choice.name, "%"), Head("90 % range"))),
    )
    rows = tuple(
        (Cell(name, False), *(Cell(text) for side in told for text in _texts(side.get(name)))) for name in names
    )
    clear = [sum(1 for one in side.values() if one[1] > 0) for side in told]
    sentence = (
        f"{sides[0].choice.name}: {clear[0]} of {len(told[0])} lifts rose clear of the doubt; "
        f"{sides[1].choice.name}: {clear[1]} of {len(told[1])}."
    )
    return Chart(
        "block-lifts", "What became of lifts", sentence,
        "Change of the estimated maximum over each block, with 90 % intervals. Two blocks differ in more than their "
        "plan: this tells no cause.",
        figure_dict(
            [_dots(side, some, names, by) for side, some, by in zip(sides, told, (-APART, APART), strict=True)],
            _lift_layout(names),
        ),
        Table("Change of the estimated maximum over each block", heads, rows), in_step=False,
    )  # fmt: skip


def _lift_layout(names: Sequence[str]) -> dict[str, Any]:
    zero = {"type": "line", "yref": "paper", "y0": 0, "y1": 1, "x0": 0, "x1": 0, "name": "mark"}
    rows = list(range(len(names)))
    axis = {"tickvals": rows, "ticktext": list(names), "range": [len(names) - 0.5, -0.5], "zeroline": False}
    return _layout("change over the block, %", len(names)) | {"shapes": [zero], "yaxis": axis}


def _texts(told: tuple[float, float, float] | None) -> tuple[str, str]:
    """The change and its range; nothing for what is not known."""
    return (signed(told[0]), f"{signed(told[1])} to {signed(told[2])}") if told else ("", "")


def _dots(side: BlockSide, told: dict[str, tuple[float, float, float]], names: Sequence[str], by: float) -> go.Scatter:
    """One block's dots, a little above or below the middle of each exercise's row."""
    rows = [(names.index(name) + by, *numbers) for name, numbers in told.items()]
    return go.Scatter(
        x=[mean for _, mean, _, _ in rows], y=[row for row, _, _, _ in rows], name=side.choice.name, mode="markers",
        text=list(told), hovertemplate="%{text}: %{x} %",
        error_x={
            "type": "data", "symmetric": False, "array": [round(high - mean, 1) for _, mean, _, high in rows],
            "arrayminus": [round(mean - low, 1) for _, mean, low, _ in rows],
        },
    )  # fmt: skip
