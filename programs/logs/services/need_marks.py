"""Marking the roster's rows inside the transaction that changes what they follow from."""

from collections.abc import Iterable

from django.db.models import F, QuerySet

from coachdesk.practice.followers import Touched, follow
from programs.logs.models import ClientNeed, SessionLog
from programs.models import PlannedSession, Program

# What concerns every client of the practice, and what is handed out without changing anybody's need.
SHARED = {
    "clients.place", "clients.equipment", "programs.exercise", "programs.exercisemuscle", "practice.practice",
}  # fmt: skip
PASSED = {"programs.issuedsheet", "clients.clientlink", "logs.blocknote"}


def mark_needs(clients: Iterable[int]) -> None:
    """Note that what these clients' rows follow from has changed. Call inside the transaction that changes it."""
    ids = list(clients)
    if ids:
        _mark(ClientNeed.objects.filter(client__in=ids))


def _mark(rows: QuerySet[ClientNeed]) -> None:
    rows.update(marked=F("marked") + 1)


def _follow(practice_id: int, touched: Touched) -> None:
    """Whatever an act wrote: mark the clients concerned."""
    rules = touched.get("clients.houserule", ())
    if SHARED & touched.keys() or any(values["client_id"] is None for values in rules):
        _mark(ClientNeed.objects.filter(client__practice=practice_id))
    else:
        mark_needs(clients_touched(touched))


def clients_touched(touched: Touched) -> set[int]:
    """The clients that these rows belong to: by themselves, or through what they hang on."""
    ids = {values["id"] for values in touched.get("clients.client", ())}
    above: dict[str, set[int]] = {"program_id": set(), "block_id": set(), "session_id": set(), "session_log_id": set()}
    for label, rows in touched.items():
        for values in rows if label not in PASSED else ():
            if values.get("client_id"):
                ids.add(values["client_id"])
                continue
            for name, found in above.items():
                if isinstance(values.get(name), int):
                    found.add(values[name])
    return ids | _through(above)


def _through(above: dict[str, set[int]]) -> set[int]:
    wanted: tuple[tuple[str, QuerySet[Program] | QuerySet[PlannedSession] | QuerySet[SessionLog], str], ...] = (
        ("program_id", Program.objects.all(), "client"),
        ("block_id", Program.objects.all(), "client"),
        ("session_id", PlannedSession.objects.all(), "block__program__client"),
        ("session_log_id", SessionLog.objects.all(), "client"),
    )
    found: set[int] = set()
    for name, rows, path in wanted:
        if above[name]:
            key = "blocks__in" if name == "block_id" else "pk__in"
            found.update(pk for pk in rows.filter(**{key: above[name]}).values_list(path, flat=True) if pk)
    return found


follow(_follow)
