"""Where the exercises of a file stand in their session: at the place the file says, else in its order."""

from collections.abc import Iterable


class Order:
    """The places of one session; `there`: (exercise id, place) of what is in it already."""

    def __init__(self, there: Iterable[tuple[int, int]] = ()) -> None:
        self._at: dict[int, int] = {place: exercise for exercise, place in there}
        self._said: dict[tuple[int, int], int] = {}

    def place(self, exercise: int, said: int = 0) -> int:
        """The place of an exercise, `said` where the file says one and it is free; the same for the same question."""
        if (exercise, said) not in self._said:
            place = self._find(exercise, said)
            self._at[place] = exercise
            self._said[exercise, said] = place
        return self._said[exercise, said]

    def _find(self, exercise: int, said: int) -> int:
        if said and self._at.get(said, exercise) == exercise:
            return said
        mine = [place for place, one in self._at.items() if one == exercise]
        return min(mine) if mine and not said else max(self._at, default=0) + 1
