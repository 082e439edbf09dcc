"""What the loads of one exercise depend on besides its steps: maxima, moved body mass, loads at hand."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from .constants import value
from .equipment import BodyWeight, Equipment, Ordinal, _makeable
from .frozen import hash_once
from .loads import from_kg
from .plans import ClientTraits, ExercisePlan, ExerciseTraits, PlaceDone
from .rules import Rules
from .scheme import expand
from .strength import Strength

_QUARTER = value("lower_quarter")
# nothing needs to be set up for plain body weight, and bands have no units and are brought along
ALWAYS_THERE: dict[str, Equipment] = {
    "bodyweight": BodyWeight("body weight", "kg"),
    "band": Ordinal("band", ("band",)),
}


@hash_once
@dataclass(frozen=True)
class Setting:
    """A cache key; `unit` is the equipment's, without equipment that of the first fixed load, else kg."""

    exercise: ExerciseTraits
    equipment: Equipment | None
    strength: Strength | None
    unit: str
    careful: bool
    body_kg: float | None
    rules: Rules
    place_done: PlaceDone | None = None


def setting_of(plan: ExercisePlan, client: ClientTraits, rules: Rules, side: str = "b") -> Setting:
    """The setting of a planned exercise for a client; a side's own maximum goes before that of both."""
    own = {"l": plan.strength_left, "r": plan.strength_right}.get(side)
    equipment = plan.equipment or ALWAYS_THERE.get(plan.exercise.equipment_kind)
    unit = equipment.unit if equipment else ""
    if not equipment:
        unit = next((step.load.unit for steps in expand(plan.scheme) for step in steps if step.load.unit), "")
    careful = client.is_careful(rules.older_age)
    done = plan.place_done if isinstance(equipment, Ordinal) else None
    strength = own or plan.strength
    return Setting(plan.exercise, equipment, strength, unit or "kg", careful, client.body_kg, rules, done)


class Scale:
    """Maxima, moved body mass and makeable loads of a setting, in thousandths of its unit."""

    def __init__(self, setting: Setting) -> None:
        self.unit = setting.unit
        body = setting.exercise.body_share * (setting.body_kg or 0.0)
        self.offset = from_kg(body, self.unit) if body else 0.0
        every = _makeable(setting.equipment) if setting.equipment else ()
        # assistance of more than the body weighs moves nothing
        self.loads = tuple(load for load in every if load + self.offset > 0) if self.offset else every
        share, on_body = setting.exercise.body_share, isinstance(setting.equipment, BodyWeight)
        # body weight without its share or mass: a maximum says nothing of the load that is moved
        self.no_mass = (share > 0 and setting.body_kg is None) or (on_body and not body)
        known = None if self.no_mass else setting.strength
        self.mean = from_kg(known.mean_kg, self.unit) if known else None
        self.low = from_kg(known.lower_quarter_kg(_QUARTER), self.unit) if known else None

    def fraction(self, load: int) -> float | None:
        """Load as a fraction of the mean 1RM, moved body mass included."""
        return max(0.0, load + self.offset) / self.mean if self.mean else None

    def system(self, load: int) -> int | None:
        """What is moved at `load`, in thousandths; None when the body mass in it is not known."""
        return None if self.no_mass else max(0, round(load + self.offset))

    def told(self, load: float) -> float:
        """A load as sentences name it: what is moved, in units, the body's part included."""
        return in_units(load + self.offset)


@lru_cache(maxsize=4096)
def scale_of(setting: Setting) -> Scale:
    """The scale of a setting; kept."""
    return Scale(setting)


def in_units(thousandths: float) -> float:
    """Thousandths as units, for a sentence; never below zero."""
    return round(max(0.0, thousandths) / 1000, 3)
