"""How a sheet's own values are said: last time's sets, what to do when the reps left are missed, reps, rests."""

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import groupby
from typing import Any

from django.urls import reverse

from coachdesk import engine
from programs.models import IssuedSheet

Values = Mapping[str, Any]
CODE_LABEL = "QR code that opens this session on the client's phone"
PHONE_WORDS = "The code opens it on the phone that opened your link."
AMOUNTS = {"seconds": " s", "metres": " m"}


def phone_address(sheet: IssuedSheet, phone_base: str) -> str:
    """Where this sheet stands on the client's phone; '' without a base.

    A clean address: the token of a link is known only while it is made, and paper lies about. The phone that opened
    the link holds its cookie; any other is told to ask for a link.
    """
    return phone_base + reverse("phone:session", args=[sheet.pk]) if phone_base else ""


def day_words(iso: str) -> str:
    """'Tue 17 Nov'."""
    on = date.fromisoformat(iso)
    return f"{on:%a} {on.day} {on:%b}"


def last_words(last: Values | None) -> str:
    """'Tue 17 Nov: 70 kg x 8, 8, 7 (RIR 2, 2, 1)', drops as '20/16 kg x 10/8'; '' when never done."""
    if not last or not last["sets"]:
        return ""
    sets = [list(steps) for _, steps in groupby(last["sets"], key=lambda s: (s["set"], s["side"]))]
    parts = []
    for loads, alike in groupby(sets, key=_loads_of):
        reps = ", ".join("/".join(_done(step) for step in steps) for steps in alike)
        parts.append(f"{loads} x {reps}" if loads else reps)
    return f"{day_words(last['on'])}: {'; '.join(parts)}{_reserves(last['sets'])}"


def _loads_of(steps: Sequence[Values]) -> str:
    """'70 kg'; '20/16/12 kg' of a set with drops; 'medium' of a band; '' of the body alone."""
    if any(step["setting"] for step in steps):
        return "/".join(dict.fromkeys(str(step["setting"]) for step in steps))
    loads = list(dict.fromkeys(step["load"] or 0 for step in steps))
    if len(loads) > 1 and min(loads) >= 0:
        return f"{'/'.join(map(engine.format_load, loads))} {steps[0]['unit']}"
    return "/".join(engine.load_in_words(load, steps[0]["unit"]) for load in loads if load)


def _done(step: Values) -> str:
    side = "" if step["side"] == "b" else f" {step['side'].upper()}"
    return f"{step['reps']}{AMOUNTS.get(step['rep_kind'], '')}{side}"


def _reserves(sets: Sequence[Values]) -> str:
    told = [0.0 if one["rir"] is None and one["failed"] else one["rir"] for one in sets if one["step"] == 1]
    if all(rir is None for rir in told):
        return ""
    words = ["-" if rir is None else f"{rir:g}" for rir in told]
    return f" (RIR {words[0] if len(set(words)) == 1 else ', '.join(words)})"


def missed_words(rows: Sequence[Values] | None) -> str:
    """'RIR missed by 2, or short of the reps: go on with 70 kg (25 a side).'; '' where it does not apply."""
    if not rows:
        return ""
    begin = "RIR missed by 2, or short of the reps:"
    if _none_lighter(rows):
        return f"{begin} nothing lighter can be made; keep the load and do fewer reps."
    return f"{begin} {'go on with' if len(rows) == 1 else 'lighten the sets left:'} {lighter_words(rows)}."


def lighter_words(rows: Sequence[Values] | None) -> str:
    """'70 kg (25 a side)', or '80 kg to 75 kg (...); 70 kg to ...' where loads differ; '' where nothing is lighter."""
    if not rows or _none_lighter(rows):
        return ""
    return _take(rows[0]) if len(rows) == 1 else "; ".join(f"{_from(row)} to {_take(row)}" for row in rows)


def _none_lighter(rows: Sequence[Values]) -> bool:
    return all(not row["take"] and not row["setup"] for row in rows)


def _from(row: Values) -> str:
    return engine.load_in_words(row["load"], row["unit"]) if row["load"] else str(row["from"])


def _take(row: Values) -> str:
    """The lighter load and how it is set up; the set-up alone where it says all."""
    if row["take"] is None:
        return str(row["setup"]) or f"{_from(row)} and fewer reps"
    if row["take"] <= 0:
        return str(row["setup"])
    setup = "" if row["setup"].endswith("each hand") else f" ({row['setup']})"
    return f"{engine.load_in_words(row['take'], row['unit'])}{setup}"


def reps_words(step: Values) -> str:
    """What to do of a step: '8', '6-8', '30 s', 'max, about 7'."""
    if step["to_failure"]:
        expected = step["expected_reps"]
        return "max" if expected is None else f"max, about {expected:.0f}"
    low, high = step["reps_low"], step["reps_high"]
    return f"{low}{f'-{high}' if high != low else ''}{AMOUNTS.get(step['rep_kind'], '')}"


def rir_words(step: Values) -> str:
    """'2', '1.5', '0' to failure, '' where none is asked for."""
    if step["to_failure"]:
        return "0"
    return "" if step["rir"] is None else f"{step['rir']:g}"


def note_words(lift: Values) -> str:
    """'superset A: a set of each in turn; slow down; each side; a pair, load of one', without the rest."""
    parts = [
        f"superset {lift['group']}: a set of each in turn" if lift["group"] else "",
        lift["cue"],
        "each side" if lift["limbs"] == "one" else "",
        "a pair, load of one" if lift["implements"] == 2 else "",
    ]
    return "; ".join(part for part in parts if part)
