"""Weekly sets and volume load of one muscle, done and planned."""

from datetime import timedelta

from programs.logs.selectors.trends import POUND_KG, MuscleTrend
from programs.logs.trends.drawing import Chart, Head, bars, figure_dict, level, line, over_weeks, shown, week_table
from programs.logs.trends.reading import Gathered
from programs.logs.trends.window import Window


def sets_chart(trend: MuscleTrend, got: Gathered, window: Window) -> Chart:
    """Bars of sets done, a line of sets planned, and the band's two edges, by week."""
    done = [round(point.done, 2) for point in trend.points]
    planned = [None if point.planned is None else round(point.planned, 2) for point in trend.points]
    name = trend.name.lower()
    edges = [level(window, edge, f"band {edge:g}") for edge in trend.band or ()]
    layout = over_weeks(window, "fractional sets", got.away, got.marks)
    heads = [Head("Planned"), Head("Done"), Head("Low count"), Head("High count")]
    values = [
        [shown(wanted, 2), shown(sets, 2), shown(point.low, 2), shown(point.high, 2)]
        for wanted, sets, point in zip(planned, done, trend.points, strict=True)
    ]
    band = f"; band {trend.band[0]:g} to {trend.band[1]:g}" if trend.band else ""
    return Chart(
        "sets", f"Weekly sets, {name}", weekly_sets_sentence(trend),
        "Bars are sets done, the dashed line is what is planned, the level lines are the band.",
        figure_dict([bars(window.mondays, done, "done"), line(window.mondays, planned, "planned"), *edges], layout),
        week_table(f"Fractional sets a week, {name}{band}", heads, window, values, got.away, got.marks),
    )  # fmt: skip


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
    outside = ((below, "below it by the high count"), (above, "above it by the low count"))
    found = " and ".join(f"{count} of them {words}" for count, words in outside if count)
    counted = f"with {found}" if found else "and none of them is surely outside"
    return f"{start}; the band is {low:g} to {high:g}, {counted}."


def volume_chart(trend: MuscleTrend, got: Gathered, window: Window, unit: str) -> Chart:
    """Bars of the volume load done, a line of what is planned, by week, in the client's unit."""
    done = [_in(point.done_kg, unit) for point in trend.points]
    planned = [None if point.planned_kg is None else _in(point.planned_kg, unit) for point in trend.points]
    name = trend.name.lower()
    heads = [Head("Planned", unit), Head("Done", unit)]
    values = [[shown(wanted, 0), shown(moved, 0)] for wanted, moved in zip(planned, done, strict=True)]
    mixed = any(point.is_mixed for point in trend.points)
    note = "Load x reps of every set by the muscle's share in it. It compares neither exercises, loads nor people."
    return Chart(
        "volume", f"Weekly volume load, {name}", _volume_sentence(trend, window, unit),
        f"{note} Sets were logged in kg and in lb; both are added up, exactly converted." if mixed else note,
        figure_dict(
            [bars(window.mondays, done, "done", f" {unit} done"), line(window.mondays, planned, "planned")],
            over_weeks(window, f"volume load, {unit}", got.away, got.marks),
        ),
        week_table(f"Volume load a week, {name}", heads, window, values, got.away, got.marks),
    )  # fmt: skip


def _in(kg: float, unit: str) -> int:
    return round(kg if unit == "kg" else kg / POUND_KG)


def _volume_sentence(trend: MuscleTrend, window: Window, unit: str) -> str:
    over = [p for p in trend.points if p.monday + timedelta(days=6) < window.today and p.done_kg]
    if not over:
        return f"No week that is over has a volume load for {trend.name.lower()}."
    last = over[-1]
    most = max(over, key=lambda p: p.done_kg)
    said = f"{trend.name} moved {_in(last.done_kg, unit):,} {unit} in the last week with training that is over"
    if most is last:
        return f"{said}, the most of these {window.weeks} weeks."
    share = 100 * last.done_kg / most.done_kg
    return f"{said}, {share:.0f} % of the most in these {window.weeks} weeks ({_in(most.done_kg, unit):,} {unit})."
