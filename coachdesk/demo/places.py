"""The three places of the demo practice and every load that can be made in them."""

from coachdesk.demo.shapes import DemoEquipment, DemoPlace
from coachdesk.engine import Barbell, BodyWeight, Dumbbells, Ordinal, Stack

PLATES = (25000, 20000, 15000, 10000, 5000, 2500, 1250)


def _evenly(first: int, last: int, step: int) -> tuple[int, ...]:
    """Loads from first to last, both included, in thousandths."""
    return tuple(range(first, last + 1, step))


FULL_GYM = DemoPlace(
    "gym",
    "Full gym",
    (
        DemoEquipment(
            "20 kg bar and plates",
            "barbell",
            Barbell("20 kg bar", "kg", 20000, tuple((plate, 4 if plate == 25000 else 2) for plate in PLATES)),
        ),
        DemoEquipment("Dumbbells", "dumbbell", Dumbbells("Dumbbells", "kg", _evenly(2000, 50000, 2000))),
        DemoEquipment("Stacks", "stack", Stack("Stacks", "kg", _evenly(5000, 250000, 5000), (2500,))),
        DemoEquipment(
            "Body weight, belt and assistance",
            "bodyweight",
            BodyWeight("Body weight", "kg", (0, *_evenly(2500, 40000, 2500)), _evenly(5000, 50000, 5000)),
        ),
        DemoEquipment("Bands", "band", Ordinal("Bands", ("light", "medium", "heavy"))),
    ),
    spotter="yes",
)
HOME = DemoPlace(
    "home",
    "Home",
    (
        DemoEquipment("Dumbbells", "dumbbell", Dumbbells("Dumbbells", "kg", _evenly(4000, 20000, 2000))),
        DemoEquipment("Body weight and bench", "bodyweight", BodyWeight("Body weight", "kg", (0,))),
        DemoEquipment("Bands", "band", Ordinal("Bands", ("light", "medium", "heavy"))),
    ),
    spotter="no",
)
HOTEL = DemoPlace(
    "hotel",
    "Hotel",
    (
        DemoEquipment("Dumbbells", "dumbbell", Dumbbells("Dumbbells", "kg", _evenly(2000, 22000, 2000))),
        DemoEquipment("Cable stack", "stack", Stack("Cable stack", "kg", _evenly(5000, 75000, 5000))),
        DemoEquipment("Body weight", "bodyweight", BodyWeight("Body weight", "kg", (0,))),
    ),
    spotter="no",
)
PLACES = (FULL_GYM, HOME, HOTEL)
