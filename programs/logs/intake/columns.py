"""The columns of a file of sets: what each holds, which headings stand for it, and an example to begin from."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from coachdesk.practice.text import fold
from programs.intake.reading import NoTableError


@dataclass(frozen=True)
class Column:
    """One column: its name, what it holds in words, and headings that are taken for it."""

    name: str
    words: str
    headings: tuple[str, ...]
    required: bool = False


COLUMNS: tuple[Column, ...] = (
    Column("client", "the client's name as on the desk", ("client", "name", "client name", "person"), required=True),
    Column("done_on", "the day, such as 2026-11-24, 24.11.2026 or 24 Nov 2026", ("done on", "date", "day", "on"),
           required=True),
    Column("session", "which session of that day; only where a client had two", ("session", "session name")),
    Column("exercise", "name or code of an exercise, or your own word for it: you are asked which it is",
           ("exercise", "lift", "movement"), required=True),
    Column("exercise_no", "place of the exercise in its session; only where it came twice",
           ("exercise no", "exercise number")),
    Column("set", "number of the set; blank: counted in the order of the file", ("set", "set no", "set number")),
    Column("step", "1 for the set, 2 and on for its drops; blank: 1", ("step", "step no", "drop")),
    Column("side", "both, left or right; blank: both", ("side",)),
    Column("load", "82.5 or 82,5; a pair of dumbbells by the load of one; on the body what was added, or "
           "20 assistance; of bands and machines without units the setting", ("load", "weight", "kg", "lb", "lbs")),
    Column("setting", "the band, or the place on a machine without units, where it does not stand under load",
           ("setting", "band", "pin")),
    Column("unit", "kg or lb; blank: the client's unit", ("unit", "units")),
    Column("reps", "repetitions, seconds or metres done", ("reps", "repetitions", "rep", "seconds", "metres"),
           required=True),
    Column("rir", "reps left in reserve, 0 to 10; optional", ("rir", "reps in reserve", "in reserve")),
    Column("failed", "yes where the set ended in failure; blank: RIR 0 says it", ("failed", "failure", "to failure")),
    Column("minutes", "of the whole session, on any of its rows; optional", ("minutes", "min", "duration")),
    Column("rating", "of the whole session, 0 to 10; optional", ("rating", "session rating")),
    Column("note", "about the session; optional", ("note", "notes", "comment")),
)  # fmt: skip
NAMES = tuple(column.name for column in COLUMNS)
REQUIRED = tuple(column.name for column in COLUMNS if column.required)

_EXAMPLE = (
    "Rosa Example,2026-11-23,,Back squat,,1,,,90,,kg,5,2,,58,7,Slept well",
    "Rosa Example,2026-11-23,,Back squat,,2,,,90,,kg,5,1,,,,",
    "Rosa Example,2026-11-23,,Back squat,,2,2,,70,,kg,7,0,,,,",
    "Rosa Example,2026-11-23,,Pull-up,,1,,,10 assistance,,kg,6,2,,,,",
    "Rosa Example,2026-11-23,,One-arm dumbbell row,,1,,left,24,,kg,8,2,,,,",
    "Rosa Example,2026-11-23,,One-arm dumbbell row,,1,,right,24,,kg,8,1,,,,",
    "Tom Example,2026-11-24,morning,Bench press,,1,,,135,,lb,8,3,,,,",
    "Tom Example,2026-11-24,evening,Plank,,1,,,,,,60,,,,,",
)


def example_csv() -> str:
    """A file that can be opened, changed and read in."""
    return "\r\n".join((",".join(NAMES), *_EXAMPLE)) + "\r\n"


def heading_key(cell: str) -> str:
    """A heading as it is compared: case, accents, underscores and brackets away."""
    return " ".join(re.sub(r"[^\w]+|_", " ", fold(cell[:80])).split())


def guess(heading: Sequence[str], kept: Mapping[str, str]) -> list[str]:
    """A column for each heading, '' where none fits; as it was matched the last time first. `check` finds doubles."""
    found = [kept.get(key := heading_key(cell), _by_heading(key)) for cell in heading]
    return [name if name in NAMES else "" for name in found]


def _by_heading(key: str) -> str:
    bare = re.sub(r" (kg|kgs|lb|lbs)$", "", key)
    return next((column.name for column in COLUMNS if {key, bare} & {column.name, *column.headings}), "")


def unit_of(heading: Sequence[str], matched: Sequence[str]) -> str:
    """'kg' or 'lb' where the load's heading says it, as 'load (kg)' does; else ''."""
    for cell, name in zip(heading, matched, strict=False):
        words = heading_key(cell).split()
        if name == "load":
            return "kg" if {"kg", "kgs"} & set(words) else "lb" if {"lb", "lbs"} & set(words) else ""
    return ""


def check(matched: Sequence[str]) -> list[str]:
    """The columns as they are read. NoTableError when one is matched twice, or one that must be there is not."""
    for name in NAMES:
        if list(matched).count(name) > 1:
            raise NoTableError(f"Two columns of the file are taken for '{name}'; keep one of them.")
    missing = [name for name in REQUIRED if name not in matched]
    if missing:
        words = ", ".join(f"'{name}'" for name in missing)
        raise NoTableError(f"No column of the file is taken for {words}; match it below, or add it to the file.")
    return list(matched)
