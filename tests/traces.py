"""Searching for the marker of tests.factories.marked: in every table, and in the bytes of files."""

import re
import struct

from django.db import connection

from tests.factories.marked import MARKER, NUMBERS


def tables() -> str:
    """Every row of every table, Django's own included, as text."""
    found = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            found += [f"{table}: {row}" for row in cursor.fetchall()]
    return "\n".join(found)


def traces(text: str) -> list[str]:
    numbers = "|".join(map(str, NUMBERS.values()))
    return re.findall(rf"{MARKER}|(?<!\d)(?:{numbers})(?!\d)", text)


def byte_traces(blob: bytes) -> int:
    """Times the marker, or one of its numbers as SQLite or text keeps it, stands in these bytes."""
    kept = [struct.pack(">q", NUMBERS["big"])[2:], struct.pack(">i", NUMBERS["int"])]
    kept += [MARKER.encode(), *(str(NUMBERS[size]).encode() for size in ("big", "int"))]
    return sum(blob.count(one) for one in kept)
