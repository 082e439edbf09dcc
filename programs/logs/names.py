"""What the sessions of one day are called where a table of sets has to tell them apart."""

from collections import Counter
from collections.abc import Sequence

MOST_NAME = 80


def day_names(titles: Sequence[str]) -> list[str]:
    """A name for each session of a client's day, in the order of their ids: its title, and what tells it from others.

    ['Push', 'Push', ''] -> ['Push', 'Push (2)', 'session 3']; the only session of a day may go without a name.
    """
    names: list[str] = []
    seen: Counter[str] = Counter()
    for n, title in enumerate(titles, start=1):
        name = title or (f"session {n}" if len(titles) > 1 else "")
        seen[name] += 1
        # What is told apart has to fit where names are kept.
        names.append(f"{name[: MOST_NAME - 5]} ({seen[name]})" if seen[name] > 1 else name)
    return names
