"""The load of whole sessions by rating, and how long sessions really take."""

from __future__ import annotations

import math
from collections.abc import Sequence

from .errors import items, number
from .rules import DEFAULT, Rules

_LEAST, _MOST = 0.2, 5.0


def session_load(rating: float, minutes: float) -> float:
    """Rating of the whole session (0 to 10) x minutes, in arbitrary units (Foster C et al 2001 JSCR 15:109-115)."""
    return number("rating", rating, 0, 10) * number("minutes", minutes, 0, 1440)


def minutes_ratio(sessions: Sequence[tuple[float, float]], rules: Rules = DEFAULT) -> float:
    """Minutes taken by minutes planned, as learned from (planned, taken) pairs; 1 without any.

    The mean of the logarithms, drawn towards 'as planned' as by five sessions that took as planned (modelling
    choice), so one odd visit changes little. Within 0.2 and 5.
    """
    weight = rules.minutes_prior if isinstance(rules, Rules) else DEFAULT.minutes_prior
    logs = []
    for one in items("sessions", sessions):
        planned, taken = one if isinstance(one, (list, tuple)) and len(one) == 2 else (None, None)
        planned = number("minutes planned", planned, 0, 1440, open_low=True)
        taken = number("minutes taken", taken, 0, 1440, open_low=True)
        logs.append(math.log(min(_MOST, max(_LEAST, taken / planned))) if planned > 1e-9 else 0.0)
    return min(_MOST, max(_LEAST, math.exp(math.fsum(logs) / (len(logs) + max(weight, 1e-9)))))
