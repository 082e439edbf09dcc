"""The set profile as SVG: full size with its axis, and small for rows and the sheet."""

from collections.abc import Sequence
from itertools import pairwise

from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe

from coachdesk import engine
from programs.figures.set_profile import Bar, Bout, Shape, common_scale, height_of, seconds_of, sentence_of, shape
from programs.figures.svg import number, percent, px, words

TICKS = (1.0, 0.8, 0.6, 0.4)
# Room for the words beside the plot; static/css/figures.css has the same two numbers.
LEFT, RIGHT = 40, 88
TOP, PLOT, FOOT = 10, 112, 22
SMALL = (120.0, 36.0)
# A number inside a bar needs this much room.
ROOM, ROOM_FOR_TWO = 22.0, 30.0


def full_svg(bouts: Sequence[Bout], name: str, *, px_per_s: float, width: float | None = None) -> SafeString:
    """The profile with axis and words. `width`: of the widest profile it is compared with, in px.

    Everything across is a share of the plot's width, so a narrow page squeezes the time and not the words.
    """
    drawn = shape(bouts, px_per_s=px_per_s, height=PLOT)
    whole = max(width or drawn.width, 1.0)
    parts = [
        f'<svg class="profile full" width="{px(whole + LEFT + RIGHT)}" height="{TOP + PLOT + FOOT}" role="img" '
        f'aria-label="{escape(f"{name}: {sentence_of(bouts)}")}">',
        *_axis(),
        f'<svg class="profile-plot" x="{LEFT}" y="{TOP}" width="70%" height="{PLOT}" overflow="visible">',
        *(part for bar in drawn.bars for part in _bar(bar, whole)),
        *_line(drawn, whole),
        *_breaks(drawn, whole),
        *_ends(drawn, bouts, whole),
        "</svg></svg>",
    ]
    return mark_safe("".join(parts))


def _axis() -> list[str]:
    parts = []
    for tick in TICKS:
        y = TOP + height_of(tick, PLOT)
        parts.append(f'<line class="gridline" x1="{LEFT}" x2="100%" y1="{px(y)}" y2="{px(y)}"/>')
        text = f"{100 * tick:.0f}{' %' if tick == TICKS[0] else ''}"
        parts.append(words(str(LEFT - 6), y + 4, text, "tick", ' text-anchor="end"'))
    base = TOP + PLOT
    parts.append(f'<line class="axis" x1="{LEFT}" x2="100%" y1="{base}" y2="{base}"/>')
    parts.append(words(str(LEFT - 6), base + 4, "30", "tick", ' text-anchor="end"'))
    return parts


def _bar(bar: Bar, whole: float) -> list[str]:
    x, width = percent(bar.x, whole), percent(bar.width, whole)
    right = percent(bar.x + bar.width, whole)
    y, base = px(bar.y), px(bar.y + bar.height)
    top = "bar-top" if bar.bout.fraction is not None else "bar-top open"
    parts = [
        f'<rect class="bar" x="{x}" y="{y}" width="{width}" height="{px(bar.height)}"/>'
        f'<line class="{top}" x1="{x}" x2="{right}" y1="{y}" y2="{y}"/>'
    ]
    if bar.joins:
        parts.append(f'<line class="bar-edge" x1="{x}" x2="{x}" y1="{y}" y2="{base}"/>')
    if bar.width >= ROOM:
        middle, centred = percent(bar.x + bar.width / 2, whole), ' text-anchor="middle"'
        if bar.height >= ROOM_FOR_TWO and bar.bout.load:
            parts.append(words(middle, bar.y + 14, bar.bout.load, "bar-load", centred))
        if bar.bout.reps and bar.height >= ROOM_FOR_TWO / 2:
            parts.append(words(middle, bar.y + bar.height - 4, f"x {bar.bout.reps}", "bar-reps label", centred))
    return parts


def _line(drawn: Shape, whole: float) -> list[str]:
    parts = []
    for line in drawn.lines:
        for (x1, y1), (x2, y2) in pairwise(line):
            parts.append(
                f'<line class="strength" x1="{percent(x1, whole)}" x2="{percent(x2, whole)}" '
                f'y1="{px(y1)}" y2="{px(y2)}"/>'
            )
    return parts


def _breaks(drawn: Shape, whole: float) -> list[str]:
    parts = []
    said: set[float] = set()
    for cut in drawn.breaks:
        parts.append(
            f'<svg x="{percent(cut.x, whole)}" y="{PLOT}" width="1" height="1" overflow="visible">'
            '<path class="break" d="M-5 4l4-8M0 4l4-8"/></svg>'
        )
        if cut.rest_s not in said:
            said.add(cut.rest_s)
            text = engine.rest_words(cut.rest_s)
            parts.append(words(percent(cut.x, whole), PLOT + 17, text, "label rest", ' text-anchor="middle"'))
    return parts


def _ends(drawn: Shape, bouts: Sequence[Bout], whole: float) -> list[str]:
    """Total minutes at the right end, and strength left at the end of its line."""
    if drawn.after is None:
        return []
    x = percent(drawn.width, whole)
    minutes = f"{number(seconds_of(bouts) / 60)} min"
    left = f"{100 * drawn.after:.0f} % left"
    y = min(height_of(drawn.after, PLOT) + 4, PLOT - 22)
    return [
        words(x, PLOT - 5, minutes, "minutes", ' dx="8"'),
        words(x, max(y, 8.0), left, "strength-label", ' dx="8"'),
    ]


def small_scale(every: Sequence[Sequence[Bout]]) -> float:
    """Px a second for the small profiles of one session, so that all of them fit and compare."""
    return common_scale(every, SMALL[0])


def small_svg(bouts: Sequence[Bout], *, px_per_s: float) -> SafeString:
    """The profile without axis or words, 120 x 36 px."""
    width, height = SMALL
    drawn = shape(bouts, px_per_s=px_per_s, height=height - 2)
    parts = [
        f'<svg class="profile small" viewBox="0 0 {px(width)} {px(height)}" width="{px(width)}" height="{px(height)}" '
        f'role="img" aria-label="{escape(sentence_of(bouts))}">'
        f'<path class="axis" d="M0 {px(height - 1.5)}H{px(width)}"/>'
    ]
    top: list[str] = []
    for bar in drawn.bars:
        parts.append(
            f'<rect class="bar" x="{px(bar.x)}" y="{px(bar.y + 1)}" width="{px(bar.width)}" height="{px(bar.height)}"/>'
        )
        top.append(f"M{px(bar.x)} {px(bar.y + 1)}h{px(bar.width)}")
    parts.append(f'<path class="bar-top" d="{"".join(top)}"/>')
    for line in drawn.lines:
        points = " ".join(f"{px(x)},{px(y + 1)}" for x, y in line)
        parts.append(f'<polyline class="strength" points="{points}"/>')
    parts.append("</svg>")
    return mark_safe("".join(parts))
