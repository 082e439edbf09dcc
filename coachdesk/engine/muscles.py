"""The fixed list of muscles that sets are counted for."""

from __future__ import annotations

from dataclasses import dataclass

from .errors import EngineError


@dataclass(frozen=True)
class Muscle:
    """A muscle or small group: stable code, name on screen, region (trunk, arm, leg)."""

    code: str
    name: str
    region: str


MUSCLES: tuple[Muscle, ...] = (
    Muscle("chest", "Chest", "trunk"),
    Muscle("front_delts", "Front of shoulder", "arm"),
    Muscle("side_delts", "Side of shoulder", "arm"),
    Muscle("rear_delts", "Back of shoulder", "arm"),
    Muscle("lats", "Lats", "trunk"),
    Muscle("upper_back", "Upper back", "trunk"),
    Muscle("traps", "Upper traps", "trunk"),
    Muscle("biceps", "Biceps", "arm"),
    Muscle("triceps", "Triceps", "arm"),
    Muscle("forearms", "Forearms", "arm"),
    Muscle("abs", "Abdominals", "trunk"),
    Muscle("lower_back", "Lower back", "trunk"),
    Muscle("glutes", "Glutes", "leg"),
    Muscle("quads", "Quadriceps", "leg"),
    Muscle("hamstrings", "Hamstrings", "leg"),
    Muscle("adductors", "Adductors", "leg"),
    Muscle("calves", "Calves", "leg"),
)

_BY_CODE = {m.code: m for m in MUSCLES}


def muscle(code: str) -> Muscle:
    """The muscle with this code; EngineError for an unknown one."""
    if not isinstance(code, str) or code not in _BY_CODE:
        raise EngineError("muscle code", code, "one of " + ", ".join(_BY_CODE))
    return _BY_CODE[code]
