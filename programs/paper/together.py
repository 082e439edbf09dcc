"""A group's sheets side by side: exercises down, clients across, alike sets said once with a box for each."""

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from coachdesk import engine
from coachdesk.templatetags.desk import day
from programs.models import IssuedSheet
from programs.paper.pages import rows_of
from programs.sheet_words import last_words, lighter_words, note_words

Values = Mapping[str, Any]
MOST_ACROSS = 8
# With more columns than this there is no room for the last time's sets.
MOST_WITH_LAST = 4
# Up to this many lines for each of the longest session's exercises, the members share enough to lie line by line.
MOSTLY_SHARED = 1.5
Key = tuple[int, int]


def together_pages(sheets: Sequence[IssuedSheet], title: str, practice: str) -> list[dict[str, Any]]:
    """{"title", "people": [{"name", "what"}], "lines": [{"name", "cells"}], "cautions", "made"} for each eight."""
    parts = [sheets[n : n + MOST_ACROSS] for n in range(0, len(sheets), MOST_ACROSS)]
    return [_page(part, title, practice) for part in parts]


def _page(sheets: Sequence[IssuedSheet], title: str, practice: str) -> dict[str, Any]:
    cautions = dict.fromkeys(caution for sheet in sheets for caution in sheet.body["cautions"])
    numbers = ", ".join(str(sheet.pk) for sheet in sheets)
    places = {sheet.body["place"] for sheet in sheets}
    return {
        "title": title, "people": [_person(sheet, with_place=len(places) > 1) for sheet in sheets],
        "lines": _lines(sheets), "cautions": list(cautions), "made": f"{practice}. Sheets {numbers}.",
    }  # fmt: skip


def _person(sheet: IssuedSheet, *, with_place: bool) -> dict[str, str]:
    body = sheet.body
    place = f", {body['place']}" if with_place and body["place"] else ""
    return {"name": body["client"], "what": f"{body['title']}, {day(sheet.for_on)}{place}, {body['minutes']} min"}


def _lines(sheets: Sequence[IssuedSheet]) -> list[dict[str, Any]]:
    """Exercises in the order of the first who does them, or what each does first, second ... where few are shared."""
    with_last = len(sheets) <= MOST_WITH_LAST
    keys = [_keys(sheet) for sheet in sheets]
    order = _order(keys)
    longest = max(len(sheet.body["exercises"]) for sheet in sheets)
    shared = len(order) <= MOSTLY_SHARED * longest
    cells = [
        {(key if shared else n): _cell(lift, sheet.body["unit"], with_last, named=not shared)
         for n, (key, lift) in enumerate(zip(mine, sheet.body["exercises"], strict=True))}
        for mine, sheet in zip(keys, sheets, strict=True)
    ]  # fmt: skip
    if not shared:
        return [{"name": f"{n + 1}.", "cells": [one.get(n) for one in cells]} for n in range(longest)]
    names = {
        key: lift["name"] for mine, sheet in zip(keys, sheets, strict=True)
        for key, lift in zip(mine, sheet.body["exercises"], strict=True)
    }  # fmt: skip
    return [{"name": names[key], "cells": [one.get(key) for one in cells]} for key in order]


def _keys(sheet: IssuedSheet) -> list[Key]:
    """(exercise, how often before) of each: the second time of one in a session is a line of its own."""
    seen: dict[int, int] = {}
    made = []
    for lift in sheet.body["exercises"]:
        seen[lift["exercise"]] = seen.get(lift["exercise"], 0) + 1
        made.append((lift["exercise"], seen[lift["exercise"]]))
    return made


def _order(keys: Sequence[Sequence[Key]]) -> list[Key]:
    order: list[Key] = []
    for mine in keys:
        after = 0
        for key in mine:
            if key not in order:
                order.insert(after, key)
            after = order.index(key) + 1
    return order


def _cell(lift: Values, unit: str, with_last: bool, *, named: bool) -> dict[str, Any]:
    warm = ", ".join(f"{engine.format_load(one['load'])} x {one['reps']}" for one in lift["warmups"])
    return {
        "name": lift["name"] if named else "",
        "notes": "; ".join(p for p in (note_words(lift), lift.get("rest_words", "")) if p),
        "warm": f"warm-up {warm}" if warm else "", "blocks": _blocks(lift, unit),
        "last": last_words(lift.get("last")) if with_last else "", "missed": lighter_words(lift.get("if_missed")),
        "remarks": lift["notes"], "unit": "" if lift.get("settings") else unit,
    }  # fmt: skip


def _blocks(lift: Values, unit: str) -> list[dict[str, Any]]:
    """Sets that ask for the same, one after the other: {"sets": [names], "steps": [[load, set-up, reps, RIR]]}."""
    sets: list[list[list[Any]]] = []
    for row in rows_of(lift, unit):
        if row[-1] == 1 or not sets:
            sets.append([])
        sets[-1].append(row)
    made = []
    for steps, alike in groupby(sets, key=lambda one: [_step(row) for row in one]):
        made.append({"sets": [one[0][0] for one in alike], "steps": steps})
    return made


def _step(row: Sequence[Any]) -> list[str]:
    """[load, set-up, reps, RIR]; without what the load or 'max' says already."""
    _, load, setup, reps, rir, _, _ = row
    return [load, "" if load and setup.endswith("each hand") else setup, reps, "" if reps.startswith("max") else rir]
