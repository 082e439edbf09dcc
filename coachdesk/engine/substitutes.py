"""What may stand in for an exercise: how near others come in pattern and muscles, and what speaks against each."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from .context import precaution
from .errors import instance, items, text
from .muscles import muscle
from .plans import ExerciseTraits, Key
from .setting import ALWAYS_THERE

# Overlaps of muscles within one step, or above the last, count as equal: the library's own order decides among them.
_STEP, _STEPS = 0.25, 3


@dataclass(frozen=True)
class Stand:
    """One exercise that may stand in, beside the one it stands in for.

    `overlap`: shared part of the muscle shares, 0 to 1. `kept`: muscles trained directly by both; `lessened`: direct
    there, indirect here; `lost`: direct there, not trained here; `added`: direct here, not trained there. `equipped`
    None when the place is not known. `against`: codes of precautions its pattern meets; `limited`: muscles under a
    precaution that it trains. `place`: its place in the library's own list, from 1.
    """

    exercise: ExerciseTraits
    same_pattern: bool
    overlap: float
    kept: tuple[str, ...]
    lessened: tuple[str, ...]
    lost: tuple[str, ...]
    added: tuple[str, ...]
    equipped: bool | None
    against: tuple[str, ...]
    limited: tuple[str, ...]
    place: int | None

    @property
    def is_barred(self) -> bool:
        """Whether a precaution speaks against it."""
        return bool(self.against or self.limited)

    @property
    def order(self) -> tuple[bool, bool, bool, int, int, float, str]:
        """Best first: nothing against it, equipment there, same pattern, muscles alike, then the library's order."""
        alike = -min(_STEPS, int(self.overlap / _STEP + 1e-9))
        last = 1_000_000
        return (
            self.is_barred, self.equipped is False, not self.same_pattern, alike,
            self.place if self.place is not None else last, -self.overlap, self.exercise.name,
        )  # fmt: skip


def muscle_overlap(one: ExerciseTraits, other: ExerciseTraits) -> float:
    """The part of the muscle shares that both have: the smaller ones over the greater ones, 0 to 1."""
    a, b = (dict(instance("exercise", each, ExerciseTraits).muscles) for each in (one, other))
    both = set(a) | set(b)
    greater = sum(max(a.get(code, 0.0), b.get(code, 0.0)) for code in both)
    return sum(min(a.get(code, 0.0), b.get(code, 0.0)) for code in both) / greater if greater else 0.0


def rank_substitutes(
    exercise: ExerciseTraits, others: Sequence[ExerciseTraits], *, library: Sequence[Key] = (),
    equipment: Collection[str] | None = None, precautions: Collection[str] = (), limited: Collection[str] = (),
) -> tuple[Stand, ...]:  # fmt: skip
    """Others that share the pattern or a muscle trained directly, best first; what cannot be used comes last.

    `library`: keys in the library's own order. `equipment`: kinds there are at the place (None: not known).
    `precautions`: codes in force; `limited`: muscles under one. The order of the criteria: common practice, no source.
    """
    instance("exercise", exercise, ExerciseTraits)
    kinds = None if equipment is None else {text("equipment kind", kind) for kind in equipment}
    barred = [precaution(code) for code in precautions]
    hurt = {muscle(code).code for code in limited}
    places = {key: n for n, key in enumerate(library, start=1)}
    found = []
    for other in items("others", others, most=5000):
        if instance("other", other, ExerciseTraits).key == exercise.key:
            continue
        made = _stand(exercise, other, kinds, places.get(other.key))
        if not (made.same_pattern or made.kept or made.place is not None):
            continue
        against = tuple(kind.code for kind in barred if other.pattern in kind.patterns)
        found.append(replace(made, against=against, limited=tuple(c for c, _ in other.muscles if c in hurt)))
    return tuple(sorted(found, key=lambda stand: stand.order))


def _stand(exercise: ExerciseTraits, other: ExerciseTraits, kinds: set[str] | None, place: int | None) -> Stand:
    was, now = dict(exercise.muscles), dict(other.muscles)
    direct = [code for code, share in exercise.muscles if share >= 1]
    equipped = None if kinds is None else other.equipment_kind in kinds or other.equipment_kind in ALWAYS_THERE
    return Stand(
        other, bool(other.pattern) and other.pattern == exercise.pattern, muscle_overlap(exercise, other),
        kept=tuple(code for code in direct if now.get(code, 0) >= 1),
        lessened=tuple(code for code in direct if 0 < now.get(code, 0) < 1),
        lost=tuple(code for code in direct if not now.get(code)),
        added=tuple(code for code, share in other.muscles if share >= 1 and not was.get(code)),
        equipped=equipped, against=(), limited=(), place=place,
    )  # fmt: skip
