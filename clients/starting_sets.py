"""Equipment to start a new place with, so that nobody begins from nothing (common practice, no source)."""

from typing import Any

from clients.notation import parse_loads, parse_plates
from coachdesk.engine import Barbell, BodyWeight, Dumbbells, FixedBars, Ordinal, Stack

BANDS = Ordinal("Bands", ("light", "medium", "strong", "very strong"))


def _kg_gym() -> tuple[Any, ...]:
    return (
        Barbell("Bar and plates", "kg", 20_000, parse_plates("25x4, 20x6, 15x4, 10x4, 5x4, 2.5x4, 1.25x2", "kg")),
        Dumbbells("Dumbbells", "kg", parse_loads("1-10 by 1; 12.5-40 by 2.5", "kg")),
        Stack("Stack", "kg", parse_loads("5-100 by 5", "kg"), (2_500,)),
        FixedBars("Fixed bars", "kg", parse_loads("10-45 by 5", "kg")),
        BodyWeight("Body weight and belt", "kg", (0, *parse_loads("2.5-40 by 2.5", "kg"))),
        BANDS,
    )


def _lb_gym() -> tuple[Any, ...]:
    return (
        Barbell("Bar and plates", "lb", 45_000, parse_plates("45x8, 35x2, 25x4, 10x4, 5x4, 2.5x2", "lb")),
        Dumbbells("Dumbbells", "lb", parse_loads("3; 5-100 by 5", "lb")),
        Stack("Stack", "lb", parse_loads("10-220 by 10", "lb"), (5_000,)),
        FixedBars("Fixed bars", "lb", parse_loads("20-110 by 10", "lb")),
        BodyWeight("Body weight and belt", "lb", (0, *parse_loads("5-90 by 5", "lb"))),
        BANDS,
    )


def _home() -> tuple[Any, ...]:
    return (
        Dumbbells("Adjustable dumbbells", "kg", parse_loads("2-24 by 2", "kg")),
        BodyWeight("Body weight", "kg", (0,)),
        BANDS,
    )


_SETS = {"kg_gym": _kg_gym, "lb_gym": _lb_gym, "home": _home}
STARTING_SETS = [
    ("", "nothing yet"),
    ("kg_gym", "kg gym: bar, dumbbells, stack, fixed bars, belt, bands"),
    ("lb_gym", "lb gym: the same in pounds"),
    ("home", "home: adjustable dumbbells, body weight, bands"),
]


def starting_set(key: str) -> tuple[Any, ...]:
    """The engine's equipment of one starting set; nothing for ''. KeyError for an unknown key."""
    return _SETS[key]() if key else ()
