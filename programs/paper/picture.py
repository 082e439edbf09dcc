"""A set profile for paper: the geometry of the screen's small profile, in px from the upper left."""

from collections.abc import Mapping, Sequence
from typing import Any

from programs.figures.profile_svg import SMALL, small_scale
from programs.figures.set_profile import Bout, sentence_of, shape
from programs.selectors.effects import sheet_bouts


def pictures(lifts: Sequence[Mapping[str, Any]]) -> dict[int, dict[str, Any]]:
    """By position, every lift whose loads are known as % of 1RM: {w, h, bars, joins, breaks, lines, alt}, one scale."""
    drawn = {lift["position"]: sheet_bouts(lift["steps"]) for lift in lifts}
    known = {n: bouts for n, bouts in drawn.items() if bouts and all(b.fraction is not None for b in bouts)}
    scale = small_scale(tuple(known.values()))
    return {n: _picture(bouts, scale) for n, bouts in known.items()}


def _picture(bouts: Sequence[Bout], px_per_s: float) -> dict[str, Any]:
    width, height = SMALL
    made = shape(bouts, px_per_s=px_per_s, height=height)
    return {
        "w": width, "h": height,
        "bars": [[_px(bar.x), _px(bar.y), _px(bar.width), _px(bar.height)] for bar in made.bars],
        "lines": [[[_px(x), _px(y)] for x, y in line] for line in made.lines],
        "alt": sentence_of(bouts),
    }  # fmt: skip


def _px(value: float) -> float:
    return round(value, 2)
