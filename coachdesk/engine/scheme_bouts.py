"""What the typed list of a scheme means, kind by kind, and how it is written: drops, bouts, waves, back-offs."""

from __future__ import annotations

import re
from dataclasses import replace

from .errors import EngineError, whole
from .scheme import LoadRule, RepRule, Scheme, StepRule
from .scheme_texts import (
    BETWEEN_ROWS,
    load_text,
    read_load,
    read_number,
    read_reps,
    read_rest,
    read_row,
    rep_text,
    rir_text,
    row_text,
    split,
)
from .scheme_words import merged_rows, plain, wave_rows

Rows = tuple[StepRule, ...]
_SAME = LoadRule("same")
_SHORT = re.compile(
    r"(?P<load>[-+]\s*[\d.,]+\s*%|\d+\s*(?:places?\s*)?(?:down|up))\s*x\s*(?P<count>\d{1,2})", re.IGNORECASE
)
_ALIKE = re.compile(r"\+\s*(\d{1,2})\s*x\s*(.+)", re.ASCII)
_TOTAL = re.compile(r"to\s+(\d{1,4})\s*reps\s*x\s*(.+)", re.IGNORECASE | re.ASCII)
_CLUSTER = re.compile(r"(?:(\d{1,2})\s*x\s*(\d{1,3})\s*)?\(([^()]+)\)\s*(.+)", re.ASCII)
_BACK_OFF = re.compile(r"(\d{1,2})\s*x\s*([^@]+?)\s*@\s*([^@]+?)(?:\s*@\s*(?:rir\s*)?([\d.,]+|-))?", re.IGNORECASE)
_QUOTA = re.compile(r"(\d{1,7})\s*(kg|lb)?(?:\s*x\s*reps)?", re.IGNORECASE | re.ASCII)


def read_drops(text: str, unit: str, first: StepRule) -> tuple[StepRule | None, Rows]:
    """(first step when the list names it, drops); a list that starts with '/' does not name it."""
    short = _SHORT.fullmatch(text.strip())
    if short:
        load = read_load(short["load"], unit)
        return (None, (StepRule(load, first.reps, first.rir),) * int(short["count"]))
    rows = tuple(read_row(part, unit, first, first.rir) for part in split(text, r"[/;]"))
    if not rows or rows[0].load.is_relative or text.strip().startswith("/"):
        return (None, rows)
    return (rows[0], rows[1:])


def drops_text(first: StepRule, drops: Rows) -> str:
    """Drops or rises as `read_drops` reads them."""
    alike = all((drop.reps, drop.rir) == (first.reps, first.rir) for drop in drops)
    if alike and drops[0].load.is_relative and len({drop.load for drop in drops}) == 1:
        return f"{load_text(drops[0].load)} x {len(drops)}"
    named = not drops[0].load.is_relative and first.load.kind != "effort"
    text = " / ".join(
        load_text(r.load) if alike else row_text(r, first.rir) for r in ((first, *drops) if named else drops)
    )
    return text if named or drops[0].load.is_relative else f"/ {text}"


def read_bouts(text: str, first: StepRule) -> tuple[Rows, int]:
    """(all bouts of a rest-pause set, total reps or 0): '+3 x 20 s', 'to 20 reps x 20 s', '+4 +3 +2; 20 s'.

    '+3': bouts that go on as far as the first one's reserve allows.
    """
    on = RepRule("failure") if first.reps.kind == "failure" else RepRule("at_least", 1, 1)
    alike, total = _ALIKE.fullmatch(text.strip()), _TOTAL.fullmatch(text.strip())
    if alike or total:
        found = alike or total
        assert found is not None
        bout = StepRule(_SAME, on, first.rir)
        count = whole("number of bouts", int(found[1]), 1, 11) if alike else 1
        return (_paused(first, (bout,) * count, read_rest(found[2])), 0 if alike else int(found[1]))
    listed, _, pause = text.rpartition(";")
    bouts = tuple(_bout(part, first) for part in split(listed, r"\+"))
    if not bouts:
        raise EngineError("bouts", text, "+3 x 20 s, +4 +3 +2; 20 s or to 20 reps x 20 s")
    return (_paused(first, bouts, read_rest(pause)), 0)


def _bout(text: str, first: StepRule) -> StepRule:
    reps, at, rir = text.partition("@")
    own = first.rir
    if at:
        own = None if rir.strip() == "-" else read_number("RIR", rir.strip(), "a number from 0 to 10")
    rule = read_reps(reps)
    return StepRule(_SAME, rule, None if rule.kind == "failure" else own)


def _paused(first: StepRule, bouts: Rows, pause: float) -> Rows:
    """The bouts with the pause after each but the last."""
    rows = (first, *bouts)
    return (*(replace(row, rest_s=pause) for row in rows[:-1]), rows[-1])


def bouts_text(scheme: Scheme) -> str:
    """A rest-pause set's bouts as `read_bouts` reads them."""
    first, bouts = scheme.step, scheme.drops
    assert first is not None
    pause = f"{plain(first.rest_s)} s"
    if scheme.target:
        return f"to {scheme.target} reps x {pause}"
    on = "failure" if first.reps.kind == "failure" else "at_least"
    if all(b.reps.kind == on and b.reps.low <= 1 and b.rir == first.rir for b in bouts):
        return f"+{len(bouts)} x {pause}"
    parts = (f"+{_least_text(bout.reps)}{rir_text(bout, first.rir)}" for bout in bouts)
    return " ".join(parts) + f"; {pause}"


def _least_text(reps: RepRule) -> str:
    return f"at least {reps.low}" if reps.kind == "at_least" else rep_text(reps)


def read_cluster(text: str, load: LoadRule, rir: float | None) -> tuple[Rows, int | None, int]:
    """(bouts, sets when written, reps in all) of '4x5 (2+2+1) 15 s' or of the bracket and pause alone."""
    found = _CLUSTER.fullmatch(text.strip())
    if not found:
        raise EngineError("cluster", text, "written as (2+2+1) 15 s: the reps of each bout and the pause")
    counts = [read_reps(part) for part in split(found[3], r"\+")]
    if len(counts) < 2 or any(one.kind != "reps" for one in counts):
        raise EngineError("bouts of the cluster", found[3], "two or more numbers of reps, such as 2+2+1")
    total = sum(one.low for one in counts)
    if found[2] and int(found[2]) != total:
        raise EngineError("reps of the cluster", int(found[2]), f"{total}, the sum of its bouts")
    first = StepRule(load, counts[0], rir)
    rows = _paused(first, tuple(StepRule(_SAME, one, rir) for one in counts[1:]), read_rest(found[4]))
    return (rows, int(found[1]) if found[1] else None, total)


def cluster_text(scheme: Scheme) -> str:
    """'(2+2+1) 15 s'."""
    assert scheme.step is not None
    reps = "+".join(str(row.reps.low) for row in (scheme.step, *scheme.drops))
    return f"({reps}) {plain(scheme.step.rest_s)} s"


def read_waves(text: str, unit: str, load: LoadRule | None, rir: float | None) -> Rows:
    """'80x7, 85x5, 90x3 / 82x7, 87x5, 92x3', or '7,5,3 / 7,5,3' where reps and RIR decide the loads."""
    rows: list[StepRule] = []
    for wave in split(text, "/"):
        if "x" in wave.lower():
            rows += [read_row(part, unit, None, rir) for part in split(wave, BETWEEN_ROWS)]
        elif load is None:
            raise EngineError("wave", wave, "written with loads, such as 80x7, 85x5, 90x3, or with a RIR")
        else:
            rows += [StepRule(load, read_reps(part), rir) for part in split(wave, r"[,;\s]+")]
    return tuple(rows)


def waves_text(scheme: Scheme, by_effort: bool) -> str:
    """Rows as `read_waves` reads them."""
    waves = wave_rows(scheme.ladder)
    if by_effort:
        return " / ".join(", ".join(rep_text(row.reps) for row in wave) for wave in waves)
    return " / ".join("; ".join(row_text(row) for row in wave) for wave in waves)


def read_back_offs(text: str, unit: str, top: StepRule, tops: int) -> Rows:
    """Top sets and '3 x 8 @ -10 %' (sets, reps, load, and '@ RIR' where it differs); ';' between groups."""
    rows = [top, *(replace(top, load=_SAME),) * (tops - 1)]
    for part in split(text, r";"):
        found = _BACK_OFF.fullmatch(part)
        if not found:
            raise EngineError("back-off sets", part, "sets, reps and load, such as 3 x 8 @ -10 %")
        reps, own = read_reps(found[2]), top.rir
        if found[4]:
            own = None if found[4] == "-" else read_number("RIR", found[4], "a number from 0 to 10")
        rir = None if reps.kind == "failure" else own
        count = whole("number of back-off sets", int(found[1]), 1, 20)
        rows += [StepRule(read_load(found[3], unit), reps, rir), *(StepRule(_SAME, reps, rir),) * (count - 1)]
    return tuple(rows)


def back_offs_text(scheme: Scheme) -> tuple[int, str]:
    """(top sets, the rest as `read_back_offs` reads it)."""
    (tops, top), *groups = merged_rows(scheme.ladder)
    parts = [f"{n} x {rep_text(row.reps)} @ {load_text(row.load)}{rir_text(row, top.rir)}" for n, row in groups]
    return tops, "; ".join(parts)


def read_quota(text: str, unit: str) -> tuple[int, str]:
    """'5000 kg' (load x reps) as (target, unit)."""
    found = _QUOTA.fullmatch(text.strip())
    if not found or not int(found[1]):
        raise EngineError("quota", text, "load x reps to reach, such as 5000 kg")
    return int(found[1]), (found[2] or unit).lower()
