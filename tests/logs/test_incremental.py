"""A logged set touches its client's rows alone, and what is kept is what would be worked out anew: after any steps.

The full figure, 50 series of 40 steps: `python -m pytest -n0 -s -m figures tests/logs/test_incremental.py -k 50`.
"""

from collections import Counter

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import run_state_machine_as_test

from clients.records.belongings import belongings
from programs.logs.models import ClientMessage, SessionLog, SetLog
from tests.factories.logs import NOON, IssuedSheetFactory, logged
from tests.incremental.machine import Machine
from tests.incremental.recount import FOUND, LOOKED_AT, REBUILT
from tests.incremental.rows import writes_watched
from tests.incremental.world import World

pytestmark = pytest.mark.django_db
STEPS = 40
# What somebody said or decided; everything else that hangs on a client is derived and must be compared.
SAID = {
    "clients.client", "clients.clientlink", "clients.handover", "clients.handoverseen", "clients.healthconsent",
    "clients.houserule", "clients.markedmuscle",
    "clients.precaution", "clients.retentionreview", "clients.screening",
    "programs.absence", "programs.block", "programs.clientdate", "programs.flagdecision", "programs.groupmember",
    "programs.issuedsheet", "programs.painreport", "programs.plannedexercise", "programs.plannedsession",
    "programs.program", "programs.rollout", "programs.runsheet", "programs.templateversion", "programs.timedbest",
    "logs.blocknote", "logs.clientmessage", "logs.departure", "logs.phoneentry", "logs.sessionlog", "logs.setlog",
}  # fmt: skip


def test_every_kind_of_row_is_said_or_compared():
    kinds = {one.label for one in belongings()}
    compared = {model._meta.label_lower for model in (*REBUILT, *LOOKED_AT, *FOUND)}
    assert kinds - SAID == compared
    assert not SAID - kinds


def test_a_statement_that_writes_anybody_elses_row_is_seen(desk):
    mine, other = logged(IssuedSheetFactory()), logged(IssuedSheetFactory())
    with writes_watched(mine.client_id) as wrote:
        mine.sets.update(reps=7)
    assert wrote == ["logs_setlog"]
    with pytest.raises(AssertionError, match="logs_setlog"), writes_watched(mine.client_id):
        SetLog.objects.filter(client__in=[mine.client_id, other.client_id]).update(reps=7)
    with pytest.raises(AssertionError, match="INSERT"), writes_watched(mine.client_id):
        ClientMessage.objects.create(client=other.client, text="Hello", sent_at=NOON)


@pytest.fixture
def machine(desk, stranger):
    class Own(Machine):
        world = World(desk, stranger)
        steps = Counter()
        checks = Counter()

    return Own


@pytest.mark.parametrize("series", [3, *(pytest.param(n, marks=pytest.mark.figures) for n in (25, 50))])
def test_after_any_steps_what_is_kept_is_what_would_be_worked_out_anew(machine, series, record_property):
    logs = SessionLog.objects.count()
    run_state_machine_as_test(
        machine,
        settings=settings(
            max_examples=series, stateful_step_count=STEPS, deadline=None, suppress_health_check=list(HealthCheck),
            database=None, print_blob=False, phases=[Phase.generate],
        ),
    )  # fmt: skip
    assert SessionLog.objects.count() == logs
    for name, count in sorted((machine.steps + machine.checks).items()):
        record_property(name, count)
        print(f"{count:8,} {name}")
    print(f"{machine.steps.total():8,} steps in all")
    assert machine.checks["clients worked out anew"] > 10 * series
