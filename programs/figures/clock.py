"""A group's session on one clock: a lane for each person, a bar for each exercise, and where one thing is short."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from programs.figures.svg import percent, px, words

LANE, BAR, TOP, FOOT = 44, 22, 4, 20
TICK_MINUTES = 10
MINUTE = 60


@dataclass(frozen=True)
class Bar:
    """One exercise in seconds from the common start; `waits`: something it needs is short then."""

    name: str
    start_s: float
    end_s: float
    waits: bool


@dataclass(frozen=True)
class Lane:
    """One person's bars in order."""

    name: str
    bars: tuple[Bar, ...]


def clock_svg(lanes: Sequence[Lane]) -> SafeString:
    """The lanes under one another; everything across is a share of the width, so that words stay readable."""
    whole = max((bar.end_s for lane in lanes for bar in lane.bars), default=0.0)
    if not whole:
        return mark_safe("")
    height = TOP + LANE * len(lanes) + FOOT
    parts = [f'<svg class="clock" width="100%" height="{height}" role="img" aria-label="{escape(sentence_of(lanes))}">']
    for tick in range(0, int(whole // MINUTE) + 1, TICK_MINUTES):
        at = percent(tick * MINUTE, whole)
        parts.append(f'<line class="gridline" x1="{at}" x2="{at}" y1="{TOP}" y2="{height - FOOT}"/>')
        parts.append(words(at, height - 5, f"{tick} min" if tick == 0 else str(tick), "tick"))
    for n, lane in enumerate(lanes):
        parts += _lane(lane, TOP + n * LANE, whole)
    return mark_safe("".join([*parts, "</svg>"]))


def _lane(lane: Lane, y: float, whole: float) -> list[str]:
    parts = [words("0", y + 14, lane.name, "clock-name")]
    for bar in lane.bars:
        x, width = percent(bar.start_s, whole), percent(bar.end_s - bar.start_s, whole)
        kind = "clock-bar waits" if bar.waits else "clock-bar"
        parts.append(
            f'<svg x="{x}" y="{px(y + LANE - BAR - 2)}" width="{width}" height="{BAR}">'
            f'<rect class="{kind}" width="100%" height="{BAR}"/>{words("4", 15, bar.name, "clock-word")}</svg>'
        )
    return parts


def sentence_of(lanes: Sequence[Lane]) -> str:
    """'Amara Tolledo: Back squat to minute 11, Leg press to minute 24. ...' for those who do not see the picture."""
    said = []
    for lane in lanes:
        bars = [
            f"{bar.name} to minute {bar.end_s / MINUTE:.0f}{', at once with another' if bar.waits else ''}"
            for bar in lane.bars
        ]
        said.append(f"{lane.name}: {', '.join(bars) or 'nothing planned'}.")
    return " ".join(said)
