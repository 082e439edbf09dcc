"""What a step is, and what must hold after it.

The derived rows of whom it was done to are those worked out anew from the sets; every row of everybody else, in this
practice and another, is byte for byte what it was.
"""

from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any, ClassVar

from django.db import connection, transaction
from django.test import Client as Browser
from django.urls import reverse
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant

from clients.mapping import house_rules
from clients.models import Client, HouseRule
from coachdesk.practice.models import Act
from programs.logs.models import LogImport, SessionLog, SetLog
from programs.models import PainReport, StrengthObservation
from tests.factories.logs import TUESDAY
from tests.incremental import recount
from tests.incremental.rows import SHARED, Owned, Owners
from tests.incremental.world import World

WHO, WHICH, TWICE = st.integers(0, 1), st.integers(0, 40), st.booleans()
REPS, BACK = st.integers(1, 18), st.integers(0, 20)
LOADS = st.sampled_from([17.5, 40, 60, 62.5, 70, 72.5, 80])
RIR = st.sampled_from(["", "", "0", "1", "2.5", "5"])
DERIVED = {model._meta.db_table for model in (*recount.REBUILT, *recount.LOOKED_AT)}
ANSWERED = {200, 302, 404, 409, 422}


class Steps(RuleBasedStateMachine):
    """One series of steps in a transaction of its own, taken back at its end."""

    world: ClassVar[World]
    steps: ClassVar[Counter[str]]
    checks: ClassVar[Counter[str]]

    def __init__(self) -> None:
        super().__init__()
        self.inside = transaction.atomic()
        self.inside.__enter__()
        self.owners = Owners()
        self.before = self.owners.rows()
        self.sent: list[tuple[int, Browser, str, dict[str, Any]]] = []
        self.files: list[tuple[set[int], str]] = []
        self.touched_by: dict[int, set[int]] = {}
        self.newest = self._newest_act()
        self.everybody = {one.pk for one in (*self.world.people, self.world.apart)}

    def teardown(self) -> None:
        try:
            self._finish_imports()
        finally:
            transaction.set_rollback(True)
            self.inside.__exit__(None, None, None)
            # A full run takes long: said as it goes, so that one that is stopped has said how far it came.
            print(f"{self.steps.total():,} steps, {self.checks['clients worked out anew']:,} times worked out anew")

    # What a step is.

    def step(self, name: str, touched: Iterable[int], act: Callable[[], Any]) -> Any:
        """Do something to these clients; then everything that must hold is looked at."""
        whose = set(touched)
        answer = act()
        after = self.owners.rows()
        self._nothing_else_moved(after, whose)
        self.before = after
        newest = self._newest_act()
        for pk in range(self.newest + 1, newest + 1):
            self.touched_by[pk] = whose
        self.newest = newest
        self.steps[name] += 1
        for one in sorted(whose):
            self._holds(Client.objects.get(pk=one))
        return answer

    def _newest_act(self) -> int:
        return Act.objects.order_by("-id").values_list("id", flat=True).first() or 0

    def _nothing_else_moved(self, after: Owned, whose: set[int]) -> None:
        assert None in after
        assert len(after) == len(self.before) >= 5
        for one in self.before.keys() - whose:
            for table in self.before[one].keys() | after[one].keys():
                if one is None and table in SHARED:
                    continue
                # The rules for everyone are the practice's.
                if one is None and table == HouseRule._meta.db_table and len(whose) > 2:
                    continue
                assert after[one].get(table) == self.before[one].get(table), (one, table)
                self.checks["tables of others"] += 1

    def _holds(self, client: Client) -> None:
        logs = SessionLog.objects.filter(client=client)
        assert not SetLog.objects.filter(session_log__in=logs).exclude(client=client).exists()
        days = dict(logs.values_list("key", "done_on"))
        sets = SetLog.objects.filter(client=client).values_list("done_on", "session_log__done_on")
        assert all(day == of_session for day, of_session in sets)
        pains = PainReport.objects.filter(client=client).values_list("source_uid", "on")
        assert all(days.get(key) == day for key, day in pains)
        seen = StrengthObservation.objects.filter(client=client, source_uid__isnull=False)
        if self._is_waiting(client):
            self.checks["left to an import"] += 1
            return
        assert set(seen.values_list("source_uid", flat=True)) <= days.keys()
        hard = house_rules(client).hard_set_rir
        assert recount.kept_sums(client) == recount.plain_sums(client, hard)
        assert recount.kept_lifts(client) == recount.plain_lifts(client, hard)
        kept, anew = recount.derived(client), recount.worked_anew(client)
        for name in kept:
            assert kept[name] == anew[name], name
        assert recount.wrong_need(client, TUESDAY) == []
        self.checks["clients worked out anew"] += 1
        self.checks["derived rows compared"] += sum(map(len, kept.values()))

    def _is_waiting(self, client: Client) -> bool:
        waiting = LogImport.objects.filter(practice=client.practice_id).values_list("waiting", flat=True)
        return any(piece[0] == client.pk for pieces in waiting for piece in pieces)

    def _finish_imports(self) -> None:
        for row in LogImport.objects.exclude(waiting=[]).order_by("id"):
            whose = {piece[0] for piece in row.waiting}
            self.step("rest of an import", whose, lambda row=row: self._continued(row))

    def _continued(self, row: LogImport) -> Any:
        answer = self.world.browser.post(reverse("logs:log_import_continue", args=[row.pk]))
        assert LogImport.objects.get(pk=row.pk).waiting == []
        return answer

    # What is sent, and sent again.

    def send(
        self,
        name: str,
        who: int,
        url: str,
        data: dict[str, Any],
        *,
        twice: bool = False,
        browser: Browser | None = None,
    ) -> Any:
        """Post it; perhaps the same again at once, which changes nothing."""
        by, pk = browser or self.world.browser, self.world.people[who].pk

        def post() -> Any:
            answer = by.post(url, data)
            assert answer.status_code in ANSWERED, (url, answer.status_code)
            return answer

        answer = self.step(name, {pk}, post)
        if answer.status_code == 302 and name != "undo of a session":
            self.sent.append((who, by, url, data))
        if twice:
            was = self.said_by(pk)
            self.step(f"{name}, sent twice", {pk}, post)
            assert self.said_by(pk) == was, f"{name} sent twice wrote twice"
            self.checks["replays that changed nothing"] += 1
        return answer

    def said_by(self, pk: int) -> dict[str, Any]:
        """A client's rows but those worked out, which may be written again to say the same."""
        return {table: rows for table, rows in self.before[pk].items() if table not in DERIVED}

    def sets_of(self, who: int) -> list[SetLog]:
        return list(SetLog.objects.filter(client=self.world.people[who]).select_related("session_log").order_by("id"))

    def logs_of(self, who: int) -> list[SessionLog]:
        return list(SessionLog.objects.filter(client=self.world.people[who]).order_by("id"))

    def sheets_of(self, who: int) -> list[Any]:
        return list(Client.objects.get(pk=self.world.people[who].pk).sheets.order_by("id"))

    @invariant()
    def nothing_points_at_what_is_gone(self) -> None:
        connection.check_constraints()
