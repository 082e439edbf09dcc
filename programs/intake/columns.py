"""The columns of the file: what each may hold, and an example to begin from."""

from dataclasses import dataclass

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 20_000
MOST_REPS = 30


@dataclass(frozen=True)
class Column:
    """One column: its heading, what it may hold in words, and whether it says something of a lift."""

    name: str
    words: str
    of_lift: bool = False
    required: bool = False


COLUMNS: tuple[Column, ...] = (
    Column("name", "the client's name, on every row", required=True),
    Column("coach", "e-mail address of the coach; blank: you"),
    Column("born_on", "date such as 1984-03-31; optional"),
    Column("goal", "size, strength, health or rehab; blank: health"),
    Column("level", "novice, intermediate or advanced; blank: novice"),
    Column("training_since_on", "date; optional"),
    Column("days_per_week", "1 to 7; blank: 3"),
    Column("minutes_per_session", "10 to 240; blank: 60"),
    Column("unit", "kg or lb; blank: the practice's unit"),
    Column("place", "name of a place of the practice; optional"),
    Column("consent_on", "date they agreed that health notes and body mass are kept; blank: not asked"),
    Column("body_mass", "such as 72.5, in the client's unit, or 160 lb; only with consent_on"),
    Column("body_mass_on", "date it was measured; blank: today"),
    Column("notes", "free text; optional"),
    Column("exercise", "name or code of an exercise of the library", of_lift=True),
    Column(
        "load",
        "load lifted: 82.5 or 82,5; a pair of dumbbells by the load of one; on the body what was added, "
        "or 20 assistance",
        of_lift=True,
    ),
    Column("load_unit", "kg or lb; blank: the client's unit", of_lift=True),
    Column("reps", f"repetitions done with none in reserve, 1 to {MOST_REPS}", of_lift=True),
    Column("side", "both, left or right; blank: both", of_lift=True),
    Column("tested_on", "date of the test; blank: today", of_lift=True),
)
NAMES = tuple(column.name for column in COLUMNS)
CLIENT_COLUMNS = tuple(column.name for column in COLUMNS if not column.of_lift and column.name != "name")
LIFT_COLUMNS = tuple(column.name for column in COLUMNS if column.of_lift)

_EXAMPLE = (
    "Rosa Example,,1984-03-31,size,intermediate,2023-01-15,3,60,kg,,2026-11-02,62.5,2026-11-02,Mornings,"
    "Back squat,90,,5,,2026-11-02",
    "Rosa Example,,,,,,,,,,,,,,Bench press,52.5,,6,,2026-11-02",
    "Rosa Example,,,,,,,,,,,,,,Pull-up,10 assistance,,5,,2026-11-02",
    "Rosa Example,,,,,,,,,,,,,,One-arm dumbbell row,24,,8,left,2026-11-04",
    "Tom Example,,,health,novice,,2,45,lb,,,,,,,,,,,",
)


def example_csv() -> str:
    """A file that can be opened, changed and read in: one row per client and lift."""
    return "\r\n".join((",".join(NAMES), *_EXAMPLE)) + "\r\n"
