"""Published rows the engine is checked against; each CSV names the source beside every row."""

from __future__ import annotations

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    """All rows of a file in tests/engine/data; each names its source."""
    with (DATA / f"{name}.csv").open(newline="", encoding="utf-8") as file:
        found = list(csv.DictReader(file))
    assert found
    assert all(row["source"] for row in found)
    return found


def of(name: str, **wanted: str) -> list[dict[str, str]]:
    """The rows whose columns have the wanted values."""
    found = [row for row in rows(name) if all(row[column] == value for column, value in wanted.items())]
    assert found, f"no row of {name} has {wanted}"
    return found
