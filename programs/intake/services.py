"""Doing what a plan says, as one act: all of it or nothing."""

from datetime import datetime

from django.core.exceptions import ValidationError

from clients.models import Client
from clients.services import create_client
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import write
from programs.intake.plan import Lift, Person, Plan
from programs.mapping import machine_key
from programs.models import StrengthObservation
from programs.services import record_test, refresh_estimates
from programs.services.strength import tested_body_load

FROM_FILE = "As a file that was read in says; what they were asked is not known here."


def import_clients(*, by: Membership, plan: Plan, now: datetime, source: str = "a CSV file") -> list[Client]:
    """Make the new clients and record the new lifts of a plan without errors. Undo takes all of it back."""
    if plan.errors:
        raise ValidationError(f"{len(plan.errors)} rows cannot be read; nothing was done.")
    people = [person for person in plan.people if person.existing is None or person.new_lifts]
    label = f"Import {len(plan.new)} new clients and {plan.lift_count} lifts from {source}"
    with write(label, by=by, subject=f"import:{by.practice_id}", source="csv", at=now):
        return [_take_in(by, person, now) for person in people]


def _take_in(by: Membership, person: Person, now: datetime) -> Client:
    if person.existing is not None:
        for lift in person.new_lifts:
            record_test(
                by=by, client=person.existing, exercise=lift.exercise, load=lift.load, unit=lift.unit,
                reps=lift.reps, on=lift.on, side=lift.side,
            )  # fmt: skip
        return person.existing
    client = create_client(by=by, now=now, name=person.name, asked=FROM_FILE, **person.fields)
    # The client's row is the root that is recorded: undoing removes it with everything that hangs on it.
    StrengthObservation.objects.bulk_create([_observation(client, lift) for lift in person.lifts])
    if person.lifts:
        refresh_estimates(client.pk)
    return client


def _observation(client: Client, lift: Lift) -> StrengthObservation:
    row = StrengthObservation(
        client=client, exercise=lift.exercise, side=lift.side, on=lift.on, load=lift.load, unit=lift.unit,
        machine=machine_key(lift.exercise, client.place_id),
        body_load=tested_body_load(lift.exercise, client, load=lift.load, unit=lift.unit), reps=lift.reps,
        rir=0.0, is_test=True,
    )  # fmt: skip
    row.clean_fields()
    return row
