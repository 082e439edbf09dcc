"""Set logs as a table in the words of the trade, for the export of a client; it can be imported again."""

from collections.abc import Iterator, Sequence

from clients.records.cells import guarded
from clients.records.export import AT_ONCE, with_export
from coachdesk.engine import format_load
from coachdesk.practice.rows import parts
from programs.logs.models import SetLog

HEADINGS = ("client", "date", "exercise", "set", "step", "side", "load", "unit", "reps", "rir", "note")
SIDES = {"b": "", "l": "left", "r": "right"}


def set_log_lines(clients: Sequence[int]) -> Iterator[Sequence[str]]:
    """The headings, then a line a set in the order it was done; loads in their unit. The note is the session's."""
    yield HEADINGS
    for part in parts(list(clients), 100):
        rows = SetLog.objects.filter(client__in=part).select_related("client", "exercise", "session_log")
        in_order = rows.order_by("client", "done_on", "session_log", "position", "set_no", "step_no", "id")
        for row in in_order.iterator(AT_ONCE):
            yield _line(row)


def _line(row: SetLog) -> Sequence[str]:
    rir = "" if row.rir is None else repr(row.rir).removesuffix(".0")
    return (
        guarded(row.client.name), row.done_on.isoformat(), guarded(row.exercise.name), str(row.set_no),
        str(row.step_no), SIDES[row.side], guarded(_load(row)), row.unit, str(row.reps), rir,
        guarded(row.session_log.note if row.set_no == row.step_no == row.position == 1 else ""),
    )  # fmt: skip


def _load(row: SetLog) -> str:
    """The band or place where there are no units, else '42.5', and '20 assistance' below 0."""
    if row.setting or row.load is None:
        return row.setting
    return f"{format_load(abs(row.load))}{' assistance' if row.load < 0 else ''}"


with_export("set-logs.csv", set_log_lines)
