"""What is said of a client outside their own rows, and goes with them: lists of ids in rollouts, plans in memory."""

from clients.models import Client
from clients.records.services import with_erasure
from programs.mapping import forget_plans
from programs.models import Rollout


def leave_rollouts(client: Client) -> None:
    """Take the client out of who waits for a copy and of who could not get one, with the reason."""
    for row in Rollout.objects.select_for_update().filter(practice=client.practice_id).order_by("id"):
        waiting = [pk for pk in row.waiting if pk != client.pk]
        failed = [pair for pair in row.failed if pair[0] != client.pk]
        if (waiting, failed) != (row.waiting, row.failed):
            row.waiting, row.failed = waiting, failed
            row.save(update_fields=["waiting", "failed"])
    forget_plans()


with_erasure(leave_rollouts)
