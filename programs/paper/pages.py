"""From issued sheets to the plain values that the page templates lay out: words and numbers, nothing to work out."""

from collections.abc import Mapping, Sequence
from typing import Any

from coachdesk import engine
from coachdesk.qr_code import qr_svg
from coachdesk.templatetags.desk import day, day_year
from programs.models import IssuedSheet
from programs.paper.density import density_of
from programs.paper.picture import pictures
from programs.sheet_words import (
    CODE_LABEL,
    PHONE_WORDS,
    last_words,
    missed_words,
    note_words,
    phone_address,
    reps_words,
    rir_words,
)

Values = Mapping[str, Any]
FACTS = ("Date", "Minutes", "Session rating 0-10")


def page_of(sheet: IssuedSheet, practice: str, paper: str, phone_base: str = "") -> dict[str, Any]:
    """One sheet as a page; {"lifts": [{"rows": [[set, load, set-up, reps, RIR, rest, step of its set], ...], ...}]}.

    With `phone_base`, where phones find this desk, it carries the code of this sheet there.
    """
    body = sheet.body
    address = phone_address(sheet, phone_base)
    drawn = pictures(body["exercises"])
    made = {
        "name": body["client"], "what": what_words(sheet), "facts": FACTS, "note": body["note"],
        "lifts": [_lift(one, body["unit"], drawn.get(one["position"])) for one in body["exercises"]],
        "stops": body["stops"], "cautions": body["cautions"],
        "made": f"{practice}, made {day(sheet.issued_at)}. Sheet {sheet.pk}.{f' {PHONE_WORDS}' if address else ''}",
        "code": {"svg": str(qr_svg(address, label=CODE_LABEL)), "alt": CODE_LABEL} if address else None,
    }  # fmt: skip
    return {**made, "density": density_of(made, paper)}


def title_of(sheet: IssuedSheet) -> str:
    """'Upper A, Tue 24 Nov 2026, Amara Tolledo': the document's title."""
    return f"{sheet.body['title']}, {day_year(sheet.for_on)}, {sheet.body['client']}"


def what_words(sheet: IssuedSheet) -> str:
    """'Upper A, Tue 24 Nov 2026, week 3, Full gym, about 62 min'."""
    body = sheet.body
    place = f", {body['place']}" if body["place"] else ""
    return f"{body['title']}, {day_year(sheet.for_on)}, week {body['week_no']}{place}, about {body['minutes']} min"


def _lift(lift: Values, unit: str, picture: Values | None) -> dict[str, Any]:
    last, missed = last_words(lift.get("last")), missed_words(lift.get("if_missed"))
    no_units = bool(lift.get("settings"))
    return {
        "head": f"{lift['position']}. {lift['name']}", "notes": note_words(lift),
        "warm": ", ".join(_warmup(one) for one in lift["warmups"]), "last": last, "missed": missed,
        "remarks": lift["notes"], "unit": "" if no_units else unit, "write": "setting" if no_units else unit,
        "rows": rows_of(lift, unit), "picture": picture,
    }  # fmt: skip


def _warmup(one: Values) -> str:
    return f"{engine.format_load(one['load'])} {one['unit']} x {one['reps']}"


def rows_of(lift: Values, unit: str) -> list[list[Any]]:
    """[set, load, set-up, reps, RIR, rest, step] of every step; loads in `unit` without saying it."""
    steps: Sequence[Values] = lift["steps"]
    # What the body adds is not known by feel: it is there.
    unknown = "" if lift.get("on_body") else "by feel"
    made = []
    for n, step in enumerate(steps):
        side = "" if step["side"] == "b" else f" {step['side'].upper()}"
        name = f"drop {step['step'] - 1}{side}" if step["step"] > 1 else f"{step['set']}{side}"
        rest = "" if n == len(steps) - 1 else engine.rest_words(step["rest_s"]) if step["rest_s"] else "none"
        setup = step["setup"] or ("" if step["load"] else unknown)
        made.append([name, load_of(step, unit), setup, reps_words(step), rir_words(step), rest, step["step"]])
    return made


def load_of(step: Values, unit: str) -> str:
    """'72.5'; with its unit where that is not the sheet's; '' for body weight, bands and unknown loads."""
    if not step["load"] or step["load"] < 0:
        return ""
    return engine.format_load(step["load"]) + ("" if step["unit"] == unit else f" {step['unit']}")
