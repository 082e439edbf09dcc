"""How an exercise went the last time: logs live above this app and say here how to read them."""

from collections.abc import Callable, Iterable, Mapping
from datetime import date
from typing import Any

# Exercise id -> {"on": ISO date, "sets": [{"set", "step", "side", "load", "unit", "setting", "reps", "rep_kind",
# "rir", "failed"}]}; loads in thousandths.
LastTimes = Mapping[int, dict[str, Any]]
Reader = Callable[[int, Iterable[int], date], LastTimes]
_readers: list[Reader] = []


def told_by(reader: Reader) -> None:
    """Register `reader(client id, exercise ids, before)`, which finds the latest session of each before a day."""
    _readers.append(reader)


def last_times(client_id: int, exercises: Iterable[int], before: date) -> LastTimes:
    """The last time of each exercise before a day; what was never done is missing."""
    wanted = list(exercises)
    return {pk: one for reader in _readers for pk, one in reader(client_id, wanted, before).items()}
