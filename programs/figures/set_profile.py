"""The set profile's geometry: time across, % of 1RM up, each step a bar as wide as it lasts, strength left over it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from coachdesk import engine
from programs.figures.svg import number, plural

LOW, HIGH = 0.30, 1.00
PX_PER_S = 2.0
# A rest beyond this is drawn no longer, and a break in the axis says so.
LONGEST_REST_S = 60.0
# Where a load is not known a bar shows only how long the step lasts.
OPEN = 0.45


@dataclass(frozen=True)
class Bout:
    """One step on the clock: seconds of work, rest drawn after it, load as a fraction of 1RM, strength left.

    `change_s`: seconds to change the load after it inside a set; in the minutes, not in the picture.
    """

    set_no: int
    step_no: int
    side: str
    fraction: float | None
    work_s: float
    rest_s: float
    change_s: float
    before: float
    after: float
    load: str = ""
    reps: str = ""


@dataclass(frozen=True)
class Bar:
    """A step as an area, in px from the left and from the top. `joins`: it touches the bar before it."""

    x: float
    y: float
    width: float
    height: float
    bout: Bout
    joins: bool


@dataclass(frozen=True)
class Break:
    """A cut in the time axis at `x`, standing for a rest of `rest_s`."""

    x: float
    rest_s: float


@dataclass(frozen=True)
class Shape:
    """Everything that is drawn: bars, breaks, one line of strength left a side, and the extent in px."""

    bars: tuple[Bar, ...]
    breaks: tuple[Break, ...]
    lines: tuple[tuple[tuple[float, float], ...], ...]
    width: float
    height: float

    @property
    def after(self) -> float | None:
        """Strength left at the very end."""
        return self.bars[-1].bout.after if self.bars else None


def bouts_of(exercise: engine.PrescribedExercise, rules: engine.Rules = engine.DEFAULT) -> tuple[Bout, ...]:
    """The steps of an exercise on its clock, without set-up and warm-ups; no rest after the last."""
    traits = exercise.exercise
    change = rules.change_over_s(traits.equipment_kind)
    made = []
    for steps in exercise.sets:
        for i, step in enumerate(steps):
            inside = i < len(steps) - 1
            counts = step.rep_kind not in ("seconds", "metres")
            made.append(
                Bout(
                    step.set_no, step.step_no, step.side, step.fraction, engine.step_seconds(step, traits, rules),
                    step.rest_s, max(0.0, change - step.rest_s) if inside else 0.0,
                    step.strength_before, step.strength_after,
                    engine.format_load(step.load) if step.load else "", f"{step.counted_reps:.0f}" if counts else "",
                )
            )  # fmt: skip
    if made:
        made[-1] = replace(made[-1], rest_s=0.0, change_s=0.0)
    return tuple(made)


def seconds_of(bouts: Iterable[Bout]) -> float:
    """Seconds of work, rests and change-overs."""
    return sum(b.work_s + b.rest_s + b.change_s for b in bouts)


def drawn_seconds(bouts: Iterable[Bout]) -> float:
    """Seconds as drawn: long rests cut, change-overs left out."""
    return sum(b.work_s + min(b.rest_s, LONGEST_REST_S) for b in bouts)


def common_scale(every: Iterable[Sequence[Bout]], width: float) -> float:
    """Px a second at which the longest of several profiles is `width` px wide, at most the full size."""
    longest = max((drawn_seconds(bouts) for bouts in every), default=0.0)
    return min(PX_PER_S, width / longest) if longest else PX_PER_S


def height_of(fraction: float, height: float) -> float:
    """Px from the top of a fraction of 1RM; what lies outside 30 to 100 % stands at the edge."""
    return height * (1 - (min(HIGH, max(LOW, fraction)) - LOW) / (HIGH - LOW))


def shape(bouts: Sequence[Bout], *, px_per_s: float = PX_PER_S, height: float = 112.0) -> Shape:
    """Lay the bouts out from left to right at `px_per_s`, on a plot `height` px high."""
    bars: list[Bar] = []
    breaks: list[Break] = []
    lines: dict[str, list[tuple[float, float]]] = {}
    x = 0.0
    for bout in bouts:
        width = bout.work_s * px_per_s
        top = height_of(OPEN if bout.fraction is None else bout.fraction, height)
        joins = bool(bars) and _touches(bars[-1].bout, bout)
        bars.append(Bar(x, top, width, height - top, bout, joins))
        line = lines.setdefault(bout.side, [])
        line += [(x, height_of(bout.before, height)), (x + width, height_of(bout.after, height))]
        x += width
        gap = min(bout.rest_s, LONGEST_REST_S) * px_per_s
        if bout.rest_s > LONGEST_REST_S:
            breaks.append(Break(x + gap / 2, bout.rest_s))
        x += gap
    return Shape(tuple(bars), tuple(breaks), tuple(map(tuple, lines.values())), x, height)


def _touches(before: Bout, after: Bout) -> bool:
    return (before.set_no, before.side, before.rest_s) == (after.set_no, after.side, 0)


def sentence_of(bouts: Sequence[Bout]) -> str:
    """What the picture shows, in one sentence."""
    if not bouts:
        return "Nothing is planned."
    sets = len({bout.set_no for bout in bouts})
    most = max(sum(1 for bout in bouts if bout.set_no == n) for n in {bout.set_no for bout in bouts})
    steps = f", up to {most} steps in a set" if most > 1 else ""
    known = [bout.fraction for bout in bouts if bout.fraction is not None]
    loads = ""
    if known:
        low, high = f"{100 * min(known):.0f}", f"{100 * max(known):.0f}"
        loads = f" at {low if low == high else f'{low} to {high}'} % of 1RM"
    minutes = number(seconds_of(bouts) / 60)
    left = f"{100 * bouts[-1].after:.0f} % of strength left at the end"
    return f"{plural(sets, 'set')}{steps}{loads}, {minutes} min with rests, {left}."
