"""What one library exercise records, and the one-line table row that makes it."""

from dataclasses import dataclass

from coachdesk.engine.constants import value

EQUIPMENT_KINDS = ("barbell", "dumbbell", "stack", "fixed_bar", "bodyweight", "band")
REP_KINDS = ("reps", "seconds", "metres")
PATTERNS = (
    "squat",
    "hinge",
    "lunge",
    "horizontal_press",
    "vertical_press",
    "horizontal_pull",
    "vertical_pull",
    "chest_fly",
    "shoulder_raise",
    "elbow_flexion",
    "elbow_extension",
    "knee_extension",
    "knee_flexion",
    "hip_extension",
    "hip_abduction",
    "hip_adduction",
    "calf_raise",
    "shrug",
    "carry",
    "grip",
    "trunk_hold",
    "trunk_flexion",
    "trunk_extension",
)
DIRECT_SHARE, INDIRECT_SHARE = 1.0, value("indirect_share")
MULTI_JOINT_LOWER = ("squat", "hinge", "lunge")
LEG_PRESS_ENDURANCE, MULTI_JOINT_LOWER_ENDURANCE = value("endurance_leg_press"), value("endurance_lower")


@dataclass(frozen=True)
class LibraryExercise:
    """One movement as the trade knows it.

    `body_share` is the part of the body mass that is moved (0: none, or nobody counts it), `body_basis` where that
    comes from. `implements` is how many loads of the written size are held (2 for a pair of dumbbells); `limbs` is
    'two' or 'one' (left and right separately); `endurance` is the repetition capacity to start from (1.0 = the
    chart); `spotter` says that failure needs a spotter or safeties; `substitutes` are codes, best first.
    """

    code: str
    name: str
    description: str
    pattern: str
    equipment_kind: str
    direct: tuple[str, ...]
    indirect: tuple[str, ...]
    substitutes: tuple[str, ...]
    implements: int = 1
    limbs: str = "two"
    rep_kind: str = "reps"
    spotter: bool = False
    endurance: float = 1.0
    body_share: float = 0.0
    body_basis: str = ""

    @property
    def muscles(self) -> tuple[tuple[str, float], ...]:
        """(muscle code, share): 1.0 for each muscle trained directly, 0.5 for each trained indirectly."""
        direct = tuple((code, DIRECT_SHARE) for code in self.direct)
        return direct + tuple((code, INDIRECT_SHARE) for code in self.indirect)


def entry(
    code: str,
    name: str,
    pattern: str,
    equipment_kind: str,
    direct: str,
    indirect: str,
    substitutes: str,
    description: str,
    *,
    implements: int = 1,
    limbs: str = "two",
    rep_kind: str = "reps",
    spotter: bool = False,
    endurance: float | None = None,
    body: tuple[float, str] = (0.0, ""),
) -> LibraryExercise:
    """A table row: lists are codes with spaces; endurance follows from the pattern unless given."""
    if endurance is None:
        endurance = MULTI_JOINT_LOWER_ENDURANCE if pattern in MULTI_JOINT_LOWER else 1.0
    return LibraryExercise(
        code=code,
        name=name,
        description=description,
        pattern=pattern,
        equipment_kind=equipment_kind,
        direct=tuple(direct.split()),
        indirect=tuple(indirect.split()),
        substitutes=tuple(substitutes.split()),
        implements=implements,
        limbs=limbs,
        rep_kind=rep_kind,
        spotter=spotter,
        endurance=endurance,
        body_share=body[0],
        body_basis=body[1],
    )
