"""The whole library in one tuple, and the way to one exercise by its code."""

from programs.library.entry import LibraryExercise
from programs.library.lower_body import LOWER_BODY
from programs.library.trunk_and_carries import TRUNK_AND_CARRIES
from programs.library.upper_body import UPPER_BODY

LIBRARY: tuple[LibraryExercise, ...] = LOWER_BODY + UPPER_BODY + TRUNK_AND_CARRIES
BY_CODE: dict[str, LibraryExercise] = {exercise.code: exercise for exercise in LIBRARY}


def library_exercise(code: str) -> LibraryExercise:
    """The library exercise with this code; KeyError names the code when there is none."""
    if code not in BY_CODE:
        raise KeyError(f"no library exercise '{code}'; see programs/library")
    return BY_CODE[code]
