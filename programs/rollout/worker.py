"""The work of handing out: chunk after chunk, each short enough that others write in between."""

import logging
from time import perf_counter

from django.utils import timezone

from coachdesk.practice.behind import let_others, work_behind
from programs.models import Rollout, TemplateVersion
from programs.selectors.versions import version_body
from programs.services.rollouts import hand_to_some, stop_rollout

log = logging.getLogger(__name__)
# A chunk holds the one writer's place in SQLite: this long, then everybody else's turn.
CHUNK_S = 0.1
FIRST, MOST = 2, 20


def begin(rollout: Rollout) -> None:
    """Work on it behind the page; in the foreground where settings say so."""
    work_behind(run, rollout.pk, name="rollout")


def run(pk: int) -> None:
    """Until nothing is left or it runs no more. What goes wrong is noted on the rollout, for somebody to go on."""
    rollout = Rollout.objects.select_related("program", "act", "by__practice", "practice").get(pk=pk)
    try:
        _run(rollout)
    except Exception as problem:  # noted, so that the page can say it and offer to go on
        log.exception("Rollout %s stopped", pk)
        stop_rollout(rollout=rollout, problem=f"{type(problem).__name__}: {problem}", now=timezone.now())


def _run(rollout: Rollout) -> None:
    body, at_once = version_body(TemplateVersion.objects.get(pk=rollout.of_id)), FIRST
    while rollout.state == Rollout.State.RUNNING:
        began = perf_counter()
        rollout = hand_to_some(rollout=rollout, body=body, at_once=at_once, now=timezone.now())
        took = perf_counter() - began
        at_once = next_size(at_once, took)
        let_others(took)


def next_size(at_once: int, took: float) -> int:
    """How many clients fit the wished time, going by the last chunk; at most twice as many as then."""
    return max(1, min(MOST, 2 * at_once, round(at_once * CHUNK_S / max(took, 0.001))))
