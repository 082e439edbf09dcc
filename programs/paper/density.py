"""How closely a sheet is set so that it stays on one side: estimated from what it holds, in millimetres of paper."""

from collections.abc import Mapping
from math import ceil
from typing import Any

# Height and width of the printed area, in mm: the paper less the margins of sheet.typ.
AREA = {"a4": (297.0 - 20, 210.0 - 22), "letter": (279.4 - 20, 215.9 - 22)}
# By density: a row of a set, a line of words, and how many characters of them fit 100 mm. sheet.typ has the same sizes.
ROW = (6.4, 5.3, 4.5, 3.8)
GAP = (4.4, 3.4, 2.6, 2.0)
LINE = (3.5, 3.3, 2.9, 2.75)
CHARACTERS = (64.0, 68.0, 76.0, 78.0)
# The head of a sheet, that of a lift with the names of its columns, the rule above the cautions.
HEAD, LIFT_HEAD, FOOT = 8.8, 7.4, 4.0
# The code for the phone, square, and the gap before it; sheet_parts.typ has the same sizes.
CODE, CODE_GAP = 18.0, 4.0
SEVERAL_SIDES = 1


def density_of(page: Mapping[str, Any], paper: str) -> int:
    """0 to 3: the loosest that fits one side; where not even the closest does (7 pt), it takes more at ease."""
    height, width = AREA[paper]
    return next((n for n in range(len(ROW)) if height_of(page, n, width) <= height), SEVERAL_SIDES)


def height_of(page: Mapping[str, Any], density: int, width: float) -> float:
    """Millimetres that a sheet takes at a density."""
    line = LINE[density]

    def lines(*texts: str, within: float = width) -> int:
        return sum(ceil(len(text) / (CHARACTERS[density] * within / 100)) for text in texts if text)

    code = CODE if page["code"] else 0.0
    end = (*page["stops"], " ".join(page["cautions"]), page["made"])
    made = HEAD + FOOT + line * lines(page["note"])
    made += max(code, line * lines(*end, within=width - code - CODE_GAP if code else width))
    for lift in page["lifts"]:
        beside = lines(f"{lift['head']} {lift['notes']} {lift['warm']}" + 24 * " ") - 1
        words = beside + lines(lift["last"] and f"Last time {lift['last']}", lift["missed"]) + lines(*lift["remarks"])
        made += GAP[density] + LIFT_HEAD + line * words + ROW[density] * len(lift["rows"])
    return made
