"""Pain on a session log's page: a line for the session and for each exercise done, with what was said."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from programs.logs.models import SessionLog
from programs.models import PainReport

WHOLE = "The session as a whole"
PARTS = ("pain", "next_morning", "note")


@dataclass(frozen=True)
class PainLine:
    """One line: whose pain, the report if there is one, and the text of its cells with what is wrong in them."""

    exercise_id: int | None
    name: str
    report: PainReport | None
    values: Mapping[str, str]
    errors: Mapping[str, str] = field(default_factory=dict)
    conflicts: Mapping[str, str] = field(default_factory=dict)

    @property
    def key(self) -> str:
        return str(self.exercise_id or "session")

    @property
    def version(self) -> int:
        return self.report.version if self.report else 0


def reports_of(session_log: SessionLog) -> list[PainReport]:
    """The reports that came with this session, by exercise."""
    rows = PainReport.objects.filter(client_id=session_log.client_id, source_uid=session_log.key)
    return list(rows.select_related("exercise").order_by("exercise__folded", "id"))


def cell_values(report: PainReport | None) -> dict[str, str]:
    """A report as the text of its cells."""
    if report is None:
        return dict.fromkeys(PARTS, "")
    morning = "" if report.next_morning is None else str(report.next_morning)
    return {"pain": str(report.pain), "next_morning": morning, "note": report.note}


def pain_lines(
    session_log: SessionLog, done: Mapping[int, str], changed: PainLine | None = None
) -> list[PainLine]:  # fmt: skip
    """The whole session, then every exercise done (name by id, in order); `changed` stands in for its own line."""
    reports = {row.exercise_id: row for row in reports_of(session_log)}
    places: list[tuple[int | None, str]] = [(None, WHOLE), *done.items()]
    lines = [PainLine(pk, name, reports.get(pk), cell_values(reports.get(pk))) for pk, name in places]
    if changed is None:
        return lines
    return [
        replace(line, values=changed.values, errors=changed.errors, conflicts=changed.conflicts)
        if line.exercise_id == changed.exercise_id else line
        for line in lines
    ]  # fmt: skip
