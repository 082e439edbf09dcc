"""Reading what there is about a client: how many rows of each kind, and who else's texts name them."""

from dataclasses import dataclass

from clients.models import Client
from clients.records.belongings import belongings


@dataclass(frozen=True)
class KindCount:
    """So many rows of a kind, such as 412 set logs."""

    words: str
    count: int


def kind_counts(client: Client) -> list[KindCount]:
    """What hangs on the client, kinds without rows left out."""
    counted = ((one, one.rows(client.pk).count()) for one in belongings() if one.model is not Client)
    return [KindCount(one.name if n == 1 else one.plural, n) for one, n in counted if n]
