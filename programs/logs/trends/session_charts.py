"""Attendance, minutes, and load by session rating with monotony and strain, week by week."""

from collections.abc import Sequence

import plotly.graph_objects as go

from coachdesk import engine
from programs.logs.trends.drawing import Chart, Head, bars, figure_dict, level, line, over_weeks, shown, week_table
from programs.logs.trends.reading import Gathered
from programs.logs.trends.sessions import SessionWeek
from programs.logs.trends.window import Window

CAUTION = (
    "Load is session rating x minutes (Foster 2001); monotony is the mean of a week's daily loads by their sample SD,"
    " rest days as 0, and strain is load x monotony (Foster C 1998 MSSE 30:1164-1168). High monotony was seen to go"
    " with illness and overreaching there; the threshold is from memory, and neither number foretells an injury."
)


def attendance_chart(weeks: Sequence[SessionWeek], got: Gathered, window: Window) -> Chart:
    """Bars of sessions done, a line of those planned."""
    heads = [Head(name) for name in ("Planned", "Done", "Skipped", "Missed", "Besides the plan")]
    values = [[str(n) for n in (w.planned, w.done, w.skipped, w.missed, w.besides)] for w in weeks]
    due, done = sum(w.due for w in weeks), sum(w.done for w in weeks)
    skipped, besides = sum(w.skipped for w in weeks), sum(w.besides for w in weeks)
    verb = "was" if done == 1 else "were"
    said = f"{done} of {due} planned sessions that were due {verb} done ({100 * done / due:.0f} %)" if due else (
        "No session was planned for these weeks"
    )  # fmt: skip
    more = [f"{skipped} {'was' if skipped == 1 else 'were'} skipped"] if skipped else []
    more += [f"{besides} more {'was' if besides == 1 else 'were'} done besides the plan"] if besides else []
    traces = [
        bars(window.mondays, [w.sessions for w in weeks], "done"),
        line(window.mondays, [w.planned or None for w in weeks], "planned"),
    ]
    return Chart(
        "attendance", "Sessions planned and done", "; ".join([said, *more]) + ".",
        "Bars are all sessions done, with those besides the plan; the dashed line is what was planned.",
        figure_dict(traces, over_weeks(window, "sessions", got.away, got.marks)),
        week_table("Sessions a week", heads, window, values, got.away, got.marks),
    )  # fmt: skip


def minutes_chart(weeks: Sequence[SessionWeek], got: Gathered, window: Window) -> Chart:
    """Mean minutes of the sessions whose time was noted, taken and planned."""
    taken = [_mean(w.taken_minutes, len(w.timed)) for w in weeks]
    planned = [_mean(w.planned_minutes, len(w.timed)) for w in weeks]
    heads = [Head("Timed sessions"), Head("Planned", "min"), Head("Taken", "min")]
    values = [
        [str(len(w.timed)), shown(wanted, 0), shown(took, 0)]
        for w, wanted, took in zip(weeks, planned, taken, strict=True)
    ]
    return Chart(
        "minutes", "Minutes planned and taken", _minutes_sentence(weeks),
        "Means of sessions with a sheet whose minutes were noted. Bars are taken, the dashed line is planned.",
        figure_dict(
            [bars(window.mondays, taken, "taken"), line(window.mondays, planned, "planned")],
            over_weeks(window, "minutes a session", got.away, got.marks),
        ),
        week_table("Minutes a session, week by week", heads, window, values, got.away, got.marks),
    )  # fmt: skip


def _mean(total: float | None, count: int) -> int | None:
    return None if total is None else round(total / count)


def _minutes_sentence(weeks: Sequence[SessionWeek]) -> str:
    pairs = [pair for week in weeks for pair in week.timed]
    if not pairs:
        return "No session of these weeks has both planned and taken minutes."
    planned, taken = sum(one for one, _ in pairs) / len(pairs), sum(one for _, one in pairs) / len(pairs)
    sessions = "The one session timed" if len(pairs) == 1 else f"The {len(pairs)} sessions timed"
    share = f"{100 * taken / planned:.0f} %"
    return f"{sessions} took {taken:.0f} min on average where {planned:.0f} min were planned ({share})."


def load_chart(weeks: Sequence[SessionWeek], got: Gathered, window: Window, rules: engine.Rules) -> Chart:
    """Weekly load as bars with strain as a line, and below them monotony against the house rule."""
    loads = [None if w.load is None else round(w.load) for w in weeks]
    strains = [None if w.strain is None else round(w.strain) for w in weeks]
    monotony = [None if w.monotony is None else round(w.monotony, 2) for w in weeks]
    heads = [
        Head("Sessions"), Head("Load"), Head("Monotony"), Head("Strain"), Head("Not defined because", is_number=False),
    ]  # fmt: skip
    values = [
        [str(w.sessions), shown(load, 0), "" if one is None else f"{one:.2f}", shown(strain, 0), w.why]
        for w, load, one, strain in zip(weeks, loads, monotony, strains, strict=True)
    ]
    layout = over_weeks(window, "load and strain", got.away, got.marks)
    layout["yaxis"] |= {"domain": [0.42, 1]}
    layout["yaxis2"] = {"title": {"text": "monotony"}, "rangemode": "tozero", "domain": [0, 0.32]}
    below = [
        line(window.mondays, monotony, "monotony"),
        level(window, rules.monotony_from, f"rule {rules.monotony_from:g}"),
    ]
    for trace in below:
        trace.yaxis = "y2"
    traces: list[go.Bar | go.Scatter] = [bars(window.mondays, loads, "load"), line(window.mondays, strains, "strain")]
    return Chart(
        "load", "Load by session rating", _load_sentence(weeks, rules), CAUTION,
        figure_dict([*traces, *below], layout),
        week_table("Load by session rating, arbitrary units", heads, window, values, got.away, got.marks),
    )  # fmt: skip


def _load_sentence(weeks: Sequence[SessionWeek], rules: engine.Rules) -> str:
    told = [w for w in weeks if w.monotony is not None]
    if not told:
        return "In no week that is over was every session rated and timed, so there is neither monotony nor strain."
    last, least = told[-1], int(rules.monotony_sessions)
    high = sum(1 for w in told if (w.monotony or 0) >= rules.monotony_from and w.sessions >= least)
    many = f"{last.sessions} session{'s' * (last.sessions != 1)}"
    few = "" if last.sessions >= least else f" (from {many}, which says little)"
    return (
        f"The last week that can be told had a load of {last.load or 0:,.0f}, a monotony of {last.monotony:.2f}{few} "
        f"and a strain of {last.strain:,.0f}; in {high} of {len(told)} weeks monotony was {rules.monotony_from:g} or "
        f"more over at least {least} sessions."
    )
