"""Reading what is known of a client's maxima."""

from collections.abc import Iterable

from django.db.models import QuerySet

from clients.models import Client
from programs.models import StrengthEstimate, StrengthObservation


def estimates_of(client: Client) -> QuerySet[StrengthEstimate]:
    """The client's estimates, one per exercise, side and machine, by exercise name."""
    return client.strength_estimates.select_related("exercise").order_by("exercise__folded", "side", "machine", "id")


def tests_of(client: Client) -> QuerySet[StrengthObservation]:
    """The client's tested lifts, newest first."""
    rows = client.strength_observations.filter(is_test=True).select_related("exercise")
    return rows.order_by("-on", "-id")


def observations_of(client: Client, exercise_ids: Iterable[int] | None = None) -> QuerySet[StrengthObservation]:
    """All evidence about the client's maxima, oldest first within each exercise and side."""
    rows = client.strength_observations.select_related("exercise")
    if exercise_ids is not None:
        rows = rows.filter(exercise_id__in=list(exercise_ids))
    # Within a day by value, not by id: evidence of a log is rewritten, and the estimate must not depend on when.
    return rows.order_by("exercise_id", "side", "machine", "on", "-is_test", "lower_bound", "load", "reps", "rir", "id")
