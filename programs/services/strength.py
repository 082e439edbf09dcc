"""Recording tested lifts, and working estimates out anew from all the evidence."""

from collections.abc import Iterable, Sequence
from datetime import date
from uuid import UUID

from django.core.exceptions import ValidationError

from clients.models import Client, Place
from clients.services import follow_rules
from coachdesk import engine
from coachdesk.practice.models import Membership, Values
from coachdesk.practice.tape import derived, write
from programs.mapping import body_load, machine_key
from programs.models import Exercise, PainReport, StrengthEstimate, StrengthObservation, TimedBest
from programs.selectors.strength import Evidence, evidence_of


def record_test(
    *, by: Membership, client: Client, exercise: Exercise, load: int, unit: str, reps: int, on: date,
    side: str = "b", place: Place | None = None,
) -> StrengthObservation:  # fmt: skip
    """A lift that was tested: load (thousandths of `unit`, below 0 assistance) for so many reps, none left in reserve.

    `place`: whose machine it was, by default the client's own place. ValidationError when nothing would be moved, or
    the body that was moved has no known mass.
    """
    machine = machine_key(exercise, place.pk if place else client.place_id)
    label = f"Record {exercise.name} {engine.load_in_words(load, unit)} x {reps} for {client.name}"
    with write(label, by=by, subject=f"client:{client.pk}") as tape:
        row = tape.create(
            StrengthObservation(
                client=client, exercise=exercise, side=side, machine=machine, on=on, load=load, unit=unit,
                body_load=tested_body_load(exercise, client, load=load, unit=unit), reps=reps, rir=0.0, is_test=True,
            )
        )  # fmt: skip
        refresh_estimates(client.pk, [exercise.pk])
    return row


def tested_body_load(exercise: Exercise, client: Client, *, load: int, unit: str) -> int:
    """What the body adds to a tested load; ValidationError where there is no maximum to speak of."""
    body = body_load(exercise, client.body_kg, unit)
    if body is None and not exercise.body_share:
        raise ValidationError({"exercise": f"No maximum is worked out of {exercise.name}: its load is the body alone."})
    if body is None:
        raise ValidationError(
            {"load": f"{exercise.name} moves the body: write {client.name}'s body mass on their profile first."}
        )
    if load + body <= 0:
        words = f"{engine.load_in_words(load, unit)} leaves nothing to move"
        right = "; write a load above 0" if not body else f" of {engine.format_load(body)} {unit} of the body"
        raise ValidationError({"load": f"{words}{right}."})
    return body


def record_best(
    *, by: Membership, client: Client, exercise: Exercise, load: int, unit: str, amount: int, on: date, side: str = "b"
) -> TimedBest:
    """The longest hold or farthest carry, fresh, at a load (thousandths of `unit`): seconds or metres.

    ValidationError for an exercise counted in reps.
    """
    if exercise.rep_kind == Exercise.RepKind.REPS:
        raise ValidationError({"exercise": f"{exercise.name} is counted in reps; record it as a tested lift."})
    row = TimedBest(
        client=client, exercise=exercise, side=side, on=on, load=load, unit=unit, kind=exercise.rep_kind, amount=amount
    )
    with write(f"Record {row} for {client.name}", by=by, subject=f"client:{client.pk}") as tape:
        return tape.create(row)


def remove_best(*, by: Membership, best: TimedBest) -> None:
    """Take a best time or distance back; undo brings it again."""
    with write(f"Remove the best {best}", by=by, subject=f"client:{best.client_id}") as tape:
        tape.delete(best)


def remove_test(*, by: Membership, observation: StrengthObservation) -> None:
    """Take a tested lift back; undo brings it again."""
    with write(f"Remove the test {observation}", by=by, subject=f"client:{observation.client_id}") as tape:
        tape.delete(observation)
        refresh_estimates(observation.client_id, [observation.exercise_id])


def refresh_estimates(client_id: int, exercise_ids: Iterable[int] | None = None) -> None:
    """Work out the client's estimates anew (of these exercises, or all). Call inside `write`."""
    client = Client.objects.select_related("practice").get(pk=client_id)
    rows = StrengthEstimate.objects.filter(client_id=client_id)
    if exercise_ids is not None:
        exercise_ids = set(exercise_ids)
        rows = rows.filter(exercise_id__in=exercise_ids)
    found = (estimate_from(evidence) for evidence in evidence_of(client, exercise_ids))
    fresh = [row for row in found if row is not None]
    rows.delete()
    StrengthEstimate.objects.bulk_create(fresh)


def estimate_from(evidence: Evidence) -> StrengthEstimate | None:
    """The unsaved estimate of one client's exercise, side and machine from all its evidence."""
    first, last = evidence.first, evidence.rows[-1]
    found = evidence.strength(last.on)
    if found is None:
        return None
    return StrengthEstimate(
        client_id=first.client_id, exercise_id=first.exercise_id, side=first.side, machine=first.machine,
        mean_kg=found.mean_kg, low_kg=found.low_kg, high_kg=found.high_kg, sd_log=found.sd_log,
        trend_per_week=found.trend_per_week, p_rising=found.p_rising, last_on=found.last_on or last.on,
        count=found.count, endurance=found.endurance, endurance_sd=found.endurance_sd,
    )  # fmt: skip


def _after_undo(touched: list[Values]) -> None:
    by_client: dict[int, set[int]] = {}
    for values in touched:
        by_client.setdefault(values["client_id"], set()).add(values["exercise_id"])
    for client_id, exercise_ids in by_client.items():
        refresh_estimates(client_id, exercise_ids)


def refresh_after_pain(client_id: int, source_uids: Iterable[UUID]) -> None:
    """What hurt does not raise an estimate: work out anew what these sessions speak of. Call inside `write`."""
    seen = StrengthObservation.objects.filter(client_id=client_id, source_uid__in=list(source_uids))
    refresh_estimates(client_id, set(seen.values_list("exercise_id", flat=True)))


def _after_pain_undo(touched: list[Values]) -> None:
    by_client: dict[int, set[UUID]] = {}
    for values in touched:
        by_client.setdefault(values["client_id"], set()).add(UUID(values["source_uid"]))
    for client_id, sources in by_client.items():
        refresh_after_pain(client_id, sources)


def _after_rules(client_ids: Sequence[int]) -> None:
    """Above which pain a set says nothing has changed: work out anew what sessions with pain speak of."""
    for client_id in client_ids:
        sources = PainReport.objects.filter(client_id=client_id, pain__gt=0).values_list("source_uid", flat=True)
        refresh_after_pain(client_id, set(sources))


follow_rules("pain", _after_rules)
derived("programs.strengthobservation", _after_undo)
derived("programs.painreport", _after_pain_undo)
