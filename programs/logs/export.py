"""Set logs as a table in the words of the trade, for the export of a client; it comes back by the import of sets."""

from collections.abc import Iterator, Sequence
from datetime import date

from clients.records.cells import guarded
from clients.records.export import AT_ONCE, with_export
from coachdesk.engine import format_load
from coachdesk.practice.rows import parts
from programs.logs.intake.cells import NOT_NOTED
from programs.logs.models import SessionLog, SetLog
from programs.logs.names import MOST_NAME, day_names

HEADINGS = (
    "client", "date", "session", "exercise", "exercise no", "set", "step", "side", "load", "setting", "unit", "reps",
    "rir", "failed", "minutes", "rating", "note",
)  # fmt: skip
SIDES = {"b": "", "l": "left", "r": "right"}


def set_log_lines(clients: Sequence[int]) -> Iterator[Sequence[str]]:
    """The headings, then a line a set in the order it was done; loads in their unit.

    Minutes, rating and note are the session's and stand in its first line.
    """
    yield HEADINGS
    for part in parts(list(clients), 100):
        names, session = _session_names(part), 0
        rows = SetLog.objects.filter(client__in=part).select_related("client", "exercise", "session_log")
        in_order = rows.order_by("client", "done_on", "session_log", "position", "set_no", "side", "step_no", "id")
        for row in in_order.iterator(AT_ONCE):
            log, first = row.session_log, row.session_log_id != session
            session = row.session_log_id
            head = (_number(log.minutes), _number(log.rating), guarded(log.note)) if first else ("", "", "")
            yield (*_line(row, names.get(session, "")), *head)


def _session_names(clients: Sequence[int]) -> dict[int, str]:
    """What each session is called, by id."""
    days: dict[tuple[int, date], list[tuple[int, str]]] = {}
    logs = SessionLog.objects.filter(client__in=clients, status=SessionLog.Status.DONE).order_by("id")
    for pk, client, on, name, title in logs.values_list("pk", "client", "done_on", "name", "sheet__body__title"):
        days.setdefault((client, on), []).append((pk, (name or title or "")[:MOST_NAME]))
    return {
        pk: name
        for day in days.values()
        for (pk, _), name in zip(day, day_names([title for _, title in day]), strict=True)
    }


def _line(row: SetLog, session: str) -> Sequence[str]:
    return (
        guarded(row.client.name), row.done_on.isoformat(), guarded(session), guarded(row.exercise.name),
        str(row.position), str(row.set_no), str(row.step_no), SIDES[row.side], guarded(_load(row)),
        guarded(row.setting), row.unit, str(row.reps), _number(row.rir), "yes" if row.failed else "",
    )  # fmt: skip


def _load(row: SetLog) -> str:
    """'42.5', '20 assistance' below 0, nothing beside a setting, words for a load that was not noted."""
    if row.setting or row.load is None:
        return "" if row.setting else NOT_NOTED
    return f"{format_load(abs(row.load))}{' assistance' if row.load < 0 else ''}"


def _number(value: float | None) -> str:
    return "" if value is None else repr(value).removesuffix(".0")


with_export("set-logs.csv", set_log_lines)
