"""A whole set typed in one cell, the way it is read aloud from paper: '80 x 8 @2', '8', '8 @2', or '-' for not done."""

import re
from typing import NamedTuple

from django.core.exceptions import ValidationError

# As long as a cell may be; what is longer is refused by its field, and no pattern is tried on it.
MOST_CELL = 40
_RIR = re.compile(r"^(?P<rest>.*?)\s*(?:@|\brir\b)\s*(?P<rir>\S.*)$", re.IGNORECASE)
_LOAD = re.compile(r"^(?P<load>.*\S)\s*[x\u00d7*]\s*(?P<reps>\d.*)$", re.IGNORECASE)
# A dash, alone or with a reason; '-8' is no reason but a wrong number.
_DASH = re.compile(r"^[-\u2013\u2212](?:\s*(?P<why>[^\W\d].*))?$")


class Typed(NamedTuple):
    """What stands for load, reps and RIR after a whole set typed in one of the cells was taken apart.

    `left_out`: a dash says that the set was not done; `why` is what was written behind it.
    """

    load: str
    reps: str
    rir: str
    left_out: bool = False
    why: str = ""

    @property
    def blank(self) -> bool:
        """Whether nothing at all was typed."""
        return not (self.load or self.reps or self.rir or self.left_out)


def read_set(load: str, reps: str, rir: str, *, saved: bool = False) -> Typed:
    """Take the cells of a set apart. ValidationError when one cell says again what another says.

    The load's and the reps' cell may each hold a whole set; RIR follows '@'. `saved`: the cells hold what is saved, so
    that a whole set typed in one of them goes before the others.
    """
    cells = (load.strip(), reps.strip(), rir.strip())
    if any(len(cell) > MOST_CELL for cell in cells):
        return Typed(*cells)
    dash = next((found for cell in cells[:2] if (found := _DASH.match(cell))), None)
    if dash:
        others = [cell for cell in cells if cell and cell != dash.string]
        if others and not saved:
            raise ValidationError(f"'{dash.string}' says that the set was not done, '{others[0]}' says that it was.")
        return Typed("", "", "", left_out=True, why=(dash["why"] or "").strip())
    parts = {"load": cells[0], "reps": cells[1], "rir": cells[2]}
    for home in ("load", "reps"):
        _take_apart(parts, home, saved)
    return Typed(parts["load"], parts["reps"], parts["rir"])


def _take_apart(found: dict[str, str], home: str, over: bool) -> None:
    text = found[home]
    rir = _RIR.match(text)
    if rir:
        found[home], text = rir["rest"], rir["rest"]
        _fill(found, "rir", rir["rir"].strip(), over)
    whole = _LOAD.match(text)
    if whole:
        found[home] = ""
        _fill(found, "load", whole["load"], over)
        _fill(found, "reps", whole["reps"].strip(), over)


def _fill(found: dict[str, str], part: str, text: str, over: bool) -> None:
    if found[part] and found[part] != text and not over:
        raise ValidationError(f"Two cells say {part.replace('rir', 'RIR')}: '{found[part]}' and '{text}'; keep one.")
    found[part] = text
