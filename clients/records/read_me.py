"""The README.txt of an export: what the files are and what the columns mean, the columns read off the models."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.db import models

from clients.records.belongings import Belonging, belongings, outside

HEAD = """{title}, exported {day} UTC

WHAT IS HERE
client.json, or clients/<id>.json   everything about one client as one JSON object:
    rows       by kind, every column as the desk keeps it
    named      what is pointed at and is not the client's own: exercises, places, people
    equipment  what stands at the places that are named
    acts       what was done about this client: who, when, in words, and each value before and after
csv/<kind>.csv                      the same rows as tables, one file a kind
set-logs.csv                        every set that was done, in the words of the trade; the desk reads it again
practice.json                       in an export by the owner: what no single client owns

HOW TO READ IT
Text is UTF-8; tables are parted by commas and quoted with ". The first line holds the headings.
Loads are whole thousandths of their unit: 42500 with unit kg is 42.5 kg. Below 0 is assistance.
In set-logs.csv loads are in the unit itself: 42.5, or 20 assistance. Side: b both, l left, r right.
Steps after the first are drops of the same set. Setting: the band, or the place on a machine without units.
RIR: repetitions in reserve. Minutes, rating and note are about the session and stand at its first set.
Days are YYYY-MM-DD where the client was; instants carry their offset from UTC.
An empty cell is nothing; true and false are yes and no; a cell with {{ or [ holds JSON.
A text that a spreadsheet would take for a formula has one ' before it; so has a text that begins with '.
Take one ' away and it is as it was typed.
Columns that end in _id point at the column id of another table; after them stands what the row is called.
Estimates and weekly sums are worked out from the rest and kept to be quick.

The desk holds health-related data. Keep this file as you would keep paper notes, and delete it when it is not needed.

COLUMNS
"""


def read_me(title: str, now: datetime) -> str:
    """The whole text."""
    return HEAD.format(title=title, day=f"{now:%Y-%m-%d %H:%M}") + "\n".join(_columns()) + "\n"


def _columns() -> Iterator[str]:
    for one in belongings():
        yield f"\n{one.plural}"
        for field in one.model._meta.concrete_fields:
            yield f"    {field.attname:22} {_meaning(one, field)}"
        for link in outside(one):
            yield f"    {link.name:22} what {link.attname} is called (in the table only)"


def _meaning(one: Belonging, field: "models.Field[Any, Any]") -> str:
    if field.is_relation:
        return f"points at {field.related_model._meta.verbose_name}"  # type: ignore[union-attr]
    kind = KINDS.get(field.get_internal_type(), "number")
    if field.choices:
        codes = [f"{code or 'empty'}" for code, _ in field.flatchoices]
        kind = f"one of: {', '.join(codes)}" if len(codes) < 9 else "a code"
    return f"{kind}{'; ' if field.help_text else ''}{field.help_text}"


KINDS = {
    "CharField": "text", "TextField": "text", "SlugField": "text", "DateField": "day", "DateTimeField": "instant",
    "BooleanField": "true or false", "UUIDField": "id made at random", "JSONField": "JSON", "FloatField": "number",
    "BigAutoField": "id", "PositiveSmallIntegerField": "whole number", "PositiveIntegerField": "whole number",
    "IntegerField": "whole number", "PositiveBigIntegerField": "whole number",
}  # fmt: skip
