"""A group's sheets side by side: exercises down, clients across, alike sets said once with a box for each."""

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from coachdesk.templatetags.desk import day_year
from programs.models import IssuedSheet
from programs.paper.pages import rows_of
from programs.sheet_words import last_words, missed_words, note_words

Values = Mapping[str, Any]
MOST_ACROSS = 8
# With more columns than this there is no room for the last time's sets.
MOST_WITH_LAST = 4
# Alike in everything but the set's own number and the rest after the very last.
LOAD_TO_RIR = slice(1, 5)


def together_pages(sheets: Sequence[IssuedSheet], title: str, practice: str) -> list[dict[str, Any]]:
    """{"title", "people": [{"name", "what"}], "lines": [{"name", "cells"}], "cautions", "made"} for each eight."""
    parts = [sheets[n : n + MOST_ACROSS] for n in range(0, len(sheets), MOST_ACROSS)]
    return [_page(part, title, practice) for part in parts]


def _page(sheets: Sequence[IssuedSheet], title: str, practice: str) -> dict[str, Any]:
    cautions = dict.fromkeys(caution for sheet in sheets for caution in sheet.body["cautions"])
    numbers = ", ".join(str(sheet.pk) for sheet in sheets)
    return {
        "title": title, "people": [_person(sheet) for sheet in sheets], "lines": _lines(sheets),
        "cautions": list(cautions), "made": f"{practice}. Sheets {numbers}.",
    }  # fmt: skip


def _person(sheet: IssuedSheet) -> dict[str, str]:
    body = sheet.body
    place = f", {body['place']}" if body["place"] else ""
    return {"name": body["client"], "what": f"{body['title']}, {day_year(sheet.for_on)}{place}, {body['minutes']} min"}


def _lines(sheets: Sequence[IssuedSheet]) -> list[dict[str, Any]]:
    """Exercises in the order of the first who does them; the second time of one in a session is a line of its own."""
    order: list[tuple[int, int]] = []
    names: dict[tuple[int, int], str] = {}
    cells: dict[tuple[int, int], dict[int, dict[str, Any]]] = {}
    for column, sheet in enumerate(sheets):
        seen: dict[int, int] = {}
        after = 0
        for lift in sheet.body["exercises"]:
            nth = seen[lift["exercise"]] = seen.get(lift["exercise"], 0) + 1
            key = (lift["exercise"], nth)
            if key not in names:
                order.insert(after, key)
                names[key] = lift["name"]
            after = order.index(key) + 1
            with_last = len(sheets) <= MOST_WITH_LAST
            cells.setdefault(key, {})[column] = _cell(lift, sheet.body["unit"], with_last)
    return [{"name": names[k], "cells": [cells[k].get(n) for n in range(len(sheets))]} for k in order]


def _cell(lift: Values, unit: str, with_last: bool) -> dict[str, Any]:
    warm = ", ".join(f"{one['load'] / 1000:g} x {one['reps']}" for one in lift["warmups"])
    return {
        "notes": "; ".join(p for p in (note_words(lift), lift.get("rest_words", "")) if p),
        "warm": f"warm-up {warm}" if warm else "", "blocks": _blocks(lift, unit),
        "last": last_words(lift.get("last")) if with_last else "", "missed": missed_words(lift.get("if_missed")),
        "remarks": lift["notes"], "unit": "" if lift.get("settings") else unit,
    }  # fmt: skip


def _blocks(lift: Values, unit: str) -> list[dict[str, Any]]:
    """Sets that ask for the same, one after the other: {"sets": [names], "steps": [[load, set-up, reps, RIR]]}."""
    rows = rows_of(lift, unit)
    sets: list[list[list[Any]]] = []
    for row in rows:
        if row[-1] == 1 or not sets:
            sets.append([])
        sets[-1].append(row)
    made = []
    for steps, alike in groupby(sets, key=lambda one: [row[LOAD_TO_RIR] for row in one]):
        made.append({"sets": [one[0][0] for one in alike], "steps": steps})
    return made
