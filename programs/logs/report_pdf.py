"""The report of a block on paper: the same report as the page shows, as plain values for its layout."""

from typing import Any

from coachdesk.templatetags.desk import day, day_year, in_unit, number, signed_in_unit
from programs.logs.selectors import Report
from programs.logs.selectors.report_bests import BestLine
from programs.logs.selectors.report_muscles import MuscleMean
from programs.logs.selectors.report_sessions import WeekLine
from programs.logs.selectors.report_strength import StrengthLine
from programs.paper.pdf import PAPERS, set_pdf

STRENGTH_WORDS = (
    "The most you could lift once, worked out from your sets and tests. Start and end are both told by all your sets"
    " up to the end, because later sets correct the first ones. Nine times in ten the true value lies between the two"
    " small numbers. A change inside the doubt may be no change at all."
)
BEST_WORDS = (
    "The longest time and the farthest distance of one set, beside the most from before; only equal loads are compared."
    " A set ends where it was planned to end, so there may have been more in you."
)
MUSCLE_WORDS = (
    "A set counts 1 for the muscle it trains most, 0.5 for one that helps. The band is what is usual for somebody like"
    " you, not a limit."
)
LOAD_WORDS = "Load is your rating times the minutes, added up over the sessions that have both."
SETS_WORDS = "Sets done, and what was planned; in weeks to come only what is planned."


def report_pdf(report: Report, *, paper: str) -> bytes:
    """The report as a tagged PDF of one to two sides; `paper` is 'a4' or 'letter'."""
    return set_pdf("report.typ", {"paper": PAPERS[paper], **report_values(report)})


def report_values(report: Report) -> dict[str, Any]:
    """{"title", "name", "what", "days", "short", "note", "by", "parts", "next", "cautions", "made"}: as printed."""
    client, note = report.client, report.note
    what = f"{report.block.program.name}, {report.block.name}"
    what += "" if report.is_whole else f", weeks {report.span[0]} to {report.span[1]}"
    days = f"{day(report.first_on)} to {day_year(report.last_on)}"
    days += "" if report.is_over else f", as of {day_year(report.today)}"
    return {
        "title": f"{client.name}, report of {report.block.name}", "name": client.name, "what": what, "days": days,
        "short": list(_short(report)), "note": _paragraphs(note.note) if note else [],
        "by": client.coach.user.name, "parts": _parts(report) if report.has_begun else [], "next": _next(report),
        "cautions": list(report.cautions), "made": f"{client.practice.name}, as of {day_year(report.today)}.",
    }  # fmt: skip


def _short(report: Report) -> tuple[str, ...]:
    if report.has_begun:
        return report.in_short
    return (f"This block begins on {day_year(report.first_on)}; there is nothing to report yet.",)


def _paragraphs(text: str) -> list[str]:
    return [line.strip() for line in text.splitlines() if line.strip()]


def _parts(report: Report) -> list[dict[str, Any]]:
    """Tables in order: {"heading", "words", "columns", "rows", "wide", "after", "list"}.

    A column is [words, is a number]; `wide` is the one that takes what is left.
    """
    parts = [_strength(report)] if report.strengths else []
    parts += [_bests(report)] if report.bests else []
    parts.append(_sessions(report))
    if report.muscles:
        parts.append(_muscles(report))
    if report.note and report.note.with_pain:
        pains = [_pain(one.name, one.count, one.most, one.morning) for one in report.pains]
        parts.append(_part("Pain you told us of", lines=pains or ["None was reported in these weeks."]))
    return parts


def _part(
    heading: str, words: str = "", columns: Any = (), rows: Any = (), after: str = "", lines: Any = (), wide: int = 0
) -> dict[str, Any]:
    made = {"columns": list(columns), "rows": list(rows), "list": list(lines)}
    return {"heading": heading, "words": words, "after": after, "wide": wide, **made}


def _strength(report: Report) -> dict[str, Any]:
    unit = report.client.unit
    columns = [
        ["Exercise", False], [f"Start {unit}", True], ["90 %", True], [f"End {unit}", True], ["90 %", True],
        [f"Change {unit}", True], ["Chance of being stronger %", True], ["In words", False],
    ]  # fmt: skip
    more = report.more_strengths
    after = f"And {more} more exercise{'' if more == 1 else 's'}." if more else ""
    return _part(
        "Strength", STRENGTH_WORDS, columns, [_strength_row(one, unit) for one in report.shown_strengths], after
    )


def _strength_row(one: StrengthLine, unit: str) -> list[str]:
    start = ["", ""]
    if one.before:
        start = [in_unit(one.before.mean_kg, unit), _range(one.before.low_kg, one.before.high_kg, unit)]
    moved = "" if one.moved_kg is None else signed_in_unit(one.moved_kg, unit)
    return [
        one.name + (" (body included)" if one.on_body else ""), *start, in_unit(one.after.mean_kg, unit),
        _range(one.after.low_kg, one.after.high_kg, unit), moved, one.percent, one.words,
    ]  # fmt: skip


def _bests(report: Report) -> dict[str, Any]:
    columns = [["Exercise", False], ["With", False], ["Before", True], ["In this block", True], ["In words", False]]
    more = report.more_bests
    after = f"And {more} more." if more else ""
    return _part("Holds and distances", BEST_WORDS, columns, [_best_row(one) for one in report.shown_bests], after)


def _best_row(one: BestLine) -> list[str]:
    before = "" if one.before is None else f"{one.before} {one.unit}"
    return [one.name, one.load, before, f"{one.best} {one.unit}", one.words]


def _range(low: float, high: float, unit: str) -> str:
    return f"{in_unit(low, unit)}-{in_unit(high, unit)}"


def _sessions(report: Report) -> dict[str, Any]:
    found = report.sessions
    columns = [["Week", False], ["From", False]] + [
        [words, True] for words in ("Planned", "Done", "Minutes planned", "Minutes taken", "Load")
    ]
    rows = [_week_row(line, begun=line.monday <= report.today) for line in found.lines]
    lines = [
        *_told("Skipped", [found.skipped_words]),
        *_told("No log", [found.missed_words]),
        *_told("Left out", found.left_out_words),
        *_told("Done instead or besides", [f"{name} {n} x" for name, n in found.added]),
        *_told("Besides the plan", [found.besides_words]),
    ]
    return _part("Sessions", "", columns, rows, LOAD_WORDS, lines, wide=1)


def _week_row(line: WeekLine, *, begun: bool) -> list[str]:
    known = [line.taken_minutes, line.load]
    done = str(line.done) if begun else ""
    return [
        line.words, day(line.monday), str(line.planned), done, str(line.planned_minutes),
        *("" if value is None else str(value) for value in known),
    ]  # fmt: skip


def _told(name: str, words: list[str]) -> list[str]:
    said = "; ".join(word for word in words if word)
    return [f"{name}: {said}."] if said else []


def _muscles(report: Report) -> dict[str, Any]:
    if report.picture is None:
        columns = [["Muscle", False], *([w, True] for w in ("Done a week", "Planned a week", "Band"))]
        rows = [[m.trend.name, number(m.done), number(m.planned), _band(m), m.words] for m in report.muscles]
        return _part("Sets per muscle", MUSCLE_WORDS, [*columns, ["Against the band", False]], rows)
    heads = [[f"Week {one.words.split()[-1]}", True] for one in report.sessions.lines]
    rows = [
        [m.trend.name, _band(m), *(_sets(p.done, p.planned, p.monday <= report.today) for p in m.trend.points)]
        for m in report.muscles
    ]
    return _part("Sets per muscle", MUSCLE_WORDS, [["Muscle", False], ["Band", True], *heads], rows, SETS_WORDS)


def _band(one: MuscleMean) -> str:
    return f"{number(one.trend.band[0])}-{number(one.trend.band[1])}" if one.trend.band else ""


def _sets(done: float, planned: float | None, begun: bool) -> str:
    wanted = number(planned) if planned is not None else ""
    return (f"{number(done)} of {wanted}" if wanted else number(done)) if begun else wanted


def _pain(name: str, count: int, most: int, morning: int | None) -> str:
    after = "" if morning is None else f", {morning} the next morning"
    return f"{name}: {count} time{'' if count == 1 else 's'}, at most {most} of 10{after}."


def _next(report: Report) -> list[str]:
    note, coming = report.note, report.coming
    made = [one["words"] for one in note.steps] if note else []
    made += _paragraphs(note.next_note) if note else []
    if coming.name:
        weeks = f", {coming.weeks} week{'' if coming.weeks == 1 else 's'}" if coming.weeks else ""
        made.append(f"Next: {coming.name}, from {day_year(coming.starts_on)}{weeks}.")
    made += [f"{one.words}, {day_year(one.on)}." for one in coming.dates]
    return made or ["Nothing is planned yet after this block."]
