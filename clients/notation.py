"""How lists of loads, plates and bands are typed and shown: '1-10 by 1; 12.5-40 by 2.5', '25x4, 20x2'."""

import re
from collections.abc import Iterable

from coachdesk.engine import EngineError, format_load, from_kg, parse_load, to_kg
from coachdesk.practice.text import fold

MOST_LOADS = 300
MOST_SIZES = 20
MOST_OF_A_SIZE = 20
MOST_BANDS = 20
MOST_SETTINGS = 50
# Lighter or heavier is a slip of the pen (common practice, no source).
BODY_KG = (20, 350)
# A comma parts two loads only before a space: '2,5' is two and a half.
_PARTS = re.compile(r"[;\n\r]+|,\s+|,$")
_RUN = re.compile(
    r"(?P<low>[^-\u2013]+?)\s*(?:-|\u2013|to)\s*(?P<high>[^-\u2013]+?)\s*(?:by|step)\s*(?P<step>.+)", re.I
)
_COUNTED = re.compile(r"(?P<load>.+?)\s*[x\u00d7*]\s*(?P<count>\d{1,4})", re.I)
_AFTER_COUNT = re.compile(r"([x\u00d7*]\s*\d+)\s*,\s*", re.I)


class NotationError(ValueError):
    """A typed list cannot be read; the sentence says which part, and what would be right."""


def _parts(text: str) -> list[str]:
    return [part.strip() for part in _PARTS.split(text.strip()) if part.strip()]


def parse_one(text: str, unit: str, *, zero: bool = False) -> int:
    """One load in thousandths; '42,5' is 42.5. NotationError for zero unless `zero`."""
    typed = text.strip()
    if typed.count(",") > 1:
        raise NotationError(f"'{_short(typed)}' holds several commas; part loads with '; ' or ', '.")
    try:
        found = parse_load(typed, unit).thousandths
    except EngineError as problem:
        raise NotationError(str(problem)) from None
    if found < 0 or (found == 0 and not zero):
        raise NotationError(f"'{_short(typed)}' is not a load above 0 {unit}.")
    return int(found)


def parse_loads(text: str, unit: str) -> tuple[int, ...]:
    """Loads in thousandths, sorted, each once, from single loads and runs 'first-last by step'."""
    loads: set[int] = set()
    for part in _parts(text):
        run = _RUN.fullmatch(part)
        loads.update(_run(part, run, unit) if run else [parse_one(part, unit)])
        if len(loads) > MOST_LOADS:
            raise NotationError(f"This makes more than {MOST_LOADS} loads; use a larger step or a shorter run.")
    if not loads:
        raise NotationError("No load is given; write loads such as '2-20 by 2; 24; 28'.")
    return tuple(sorted(loads))


def _run(part: str, run: "re.Match[str]", unit: str) -> range:
    low, high, step = (parse_one(run[name], unit) for name in ("low", "high", "step"))
    if high < low:
        raise NotationError(f"'{_short(part)}' runs backwards; write the lighter load first.")
    if (high - low) % step:
        ends = format_load(low + (high - low) // step * step)
        raise NotationError(f"'{_short(part)}' does not end at {format_load(high)}: its last load would be {ends}.")
    if (high - low) // step >= MOST_LOADS:
        raise NotationError(f"'{_short(part)}' makes more than {MOST_LOADS} loads; use a larger step.")
    return range(low, high + 1, step)


def parse_body_mass(text: str, unit: str) -> tuple[int, str]:
    """A body mass with its unit, in thousandths: '72,5' is in `unit`, '160 lb' in pounds; 20 to 350 kg."""
    typed = text.strip()
    stamped = typed[-2:].lower()
    unit = stamped if stamped in ("kg", "lb") else unit
    ends = tuple(format_load(round(from_kg(kg, unit) / 1000) * 1000) for kg in BODY_KG)
    right = f"write it in {unit}, from {ends[0]} to {ends[1]}, such as '72.5 {unit}'"
    try:
        found = parse_load(typed, unit).thousandths
    except EngineError:
        raise NotationError(f"'{_short(typed)}' is no body mass; {right}.") from None
    if not BODY_KG[0] <= to_kg(found, unit) <= BODY_KG[1]:
        raise NotationError(f"{format_load(found)} {unit} cannot be a body mass here; {right}.")
    return int(found), unit


def parse_plates(text: str, unit: str) -> tuple[tuple[int, int], ...]:
    """Plates as (thousandths, how many in all), heaviest first, from '25x4, 20x4; 2,5x2'."""
    plates: dict[int, int] = {}
    for part in _parts(_AFTER_COUNT.sub(r"\1; ", text)):
        counted = _COUNTED.fullmatch(part)
        if counted is None:
            raise NotationError(f"'{_short(part)}' does not say how many; write plate x how many, such as '20x4'.")
        load, count = parse_one(counted["load"], unit), int(counted["count"])
        if not 1 <= count <= MOST_OF_A_SIZE:
            raise NotationError(
                f"'{_short(part)}' means {count} plates of {format_load(load)} {unit}; 1 to {MOST_OF_A_SIZE} "
                "can be kept, plate first and then how many."
            )
        if load in plates:
            raise NotationError(f"{format_load(load)} {unit} is given twice; write it once with how many in all.")
        plates[load] = count
    if len(plates) > MOST_SIZES:
        raise NotationError(f"{len(plates)} sizes of plate are given; at most {MOST_SIZES} can be kept.")
    return tuple(sorted(plates.items(), reverse=True))


def parse_bands(text: str) -> tuple[str, ...]:
    """Names of bands, easiest first."""
    return _names(text, "band", MOST_BANDS, "light, medium, strong")


def parse_settings(text: str) -> tuple[str, ...]:
    """Names of a machine's settings, easiest first."""
    return _names(text, "setting", MOST_SETTINGS, "pin 1, pin 2, pin 3")


def _names(text: str, what: str, most: int, example: str) -> tuple[str, ...]:
    names = [part.strip() for part in re.split(r"[;,\n\r]+", text) if part.strip()]
    if not names:
        raise NotationError(f"No {what} is given; write them easiest first, such as '{example}'.")
    if len(names) > most:
        raise NotationError(f"{len(names)} {what}s are given; at most {most} can be kept.")
    folded = [fold(name) for name in names]
    doubled = {name for name in names if folded.count(fold(name)) > 1}
    if doubled:
        raise NotationError(f"'{_short(min(doubled))}' is given twice; write each {what} once.")
    too_long = [name for name in names if len(name) > 40]
    if too_long:
        raise NotationError(f"'{_short(too_long[0])}' is longer than 40 characters.")
    return tuple(names)


def loads_text(loads: Iterable[int]) -> str:
    """Loads as they would be typed: runs of three or more as 'first-last by step'."""
    rest, parts = list(loads), []
    while rest:
        size = _run_length(rest)
        if size >= 3:
            step = format_load(rest[1] - rest[0])
            parts.append(f"{format_load(rest[0])}-{format_load(rest[size - 1])} by {step}")
        else:
            size = 1
            parts.append(format_load(rest[0]))
        rest = rest[size:]
    return "; ".join(parts)


def _run_length(loads: list[int]) -> int:
    if len(loads) < 2:
        return len(loads)
    step, size = loads[1] - loads[0], 2
    while size < len(loads) and loads[size] - loads[size - 1] == step:
        size += 1
    return size


def plates_text(plates: Iterable[tuple[int, int]]) -> str:
    """Plates as they would be typed: '25x4, 20x4'."""
    return ", ".join(f"{format_load(load)}x{count}" for load, count in plates)


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."
