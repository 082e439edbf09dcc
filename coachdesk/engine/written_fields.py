"""From a written line that was taken apart to the flat fields of its kind of scheme."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace

from .errors import EngineError
from .written_line import Group, Line

Fields = dict[str, str]
# Kinds whose sets are all alike: a second group on their line would be left out without a word.
_OF_ONE_GROUP = ("quota", "cluster", "rest_pause")
FIRST = {"load_kind": "effort", "load_value": "", "rir": "2", "rest": "120", "side": "b", "hold": "load"}
_UNIT = re.compile(r"(%|kg|lb|rm)?$")


def kind_of(line: Line) -> str:
    """Which kind of scheme the line writes."""
    groups = line.groups
    for kind, said in (
        ("quota", line.until), ("cluster", line.cluster), ("rest_pause", line.bouts), ("open_last", line.last),
    ):  # fmt: skip
        if said:
            return kind
    if line.hint in ("wave", "ascending_pyramid", "descending_pyramid"):
        return line.hint
    if line.drops:
        return "light_to_heavy" if line.drops[0].startswith("+") or line.drops[0].endswith("up") else "drop_set"
    if len(groups) == 1:
        if groups[0].loads:
            return _ladder_kind(list_loads(groups[0].loads))
        return "open_last" if groups[0].reps.endswith("+") and groups[0].count not in ("", "1") else "straight"
    return _kind_of_many(line)


def _kind_of_many(line: Line) -> str:
    groups = line.groups
    slashes = [g for g in groups[1:] if g.sep == "/"]
    if slashes and len(slashes) == len(groups) - 1 and not (line.rest and not groups[0].count):
        return _ladder_kind([g.load for g in groups])
    if slashes or not all(g.load or _high_count(g) for g in groups):
        return "wave" if slashes or not groups[0].count else "top_back_off"
    if groups[0].count and not _high_count(groups[0]) and not groups[0].load_first:
        return "top_back_off"
    loads = [g.load or f"{g.count}%" for g in groups]
    return "descending_pyramid" if _falls(loads) else "ascending_pyramid"


def _falls(loads: list[str]) -> bool:
    """Whether loads of one unit only ever go down."""
    weights, units = [_weight(load) for load in loads], {load.lstrip("0123456789.,- ") for load in loads}
    return len(units) == 1 and weights == sorted(weights, reverse=True) and weights[0] > weights[-1]


def _ladder_kind(loads: list[str]) -> str:
    later = loads[1:]
    rises = any(load.startswith("+") or load.endswith("up") for load in later)
    falls = any(load.startswith("-") or load.endswith("down") for load in later)
    if not rises and not falls:
        weights = [_weight(load) * (-1 if load.endswith("RM") else 1) for load in loads if load]
        rises = len(weights) > 1 and weights == sorted(weights) and weights[0] < weights[-1]
    return "light_to_heavy" if rises else "drop_set"


def _weight(load: str) -> float:
    found = re.search(r"\d+(?:[.,]\d+)?", load)
    return float(found[0].replace(",", ".")) if found else 0.0


def _high_count(group: Group) -> bool:
    """'65 x 15' among rows: the number before the x is a load, for nobody does 65 sets."""
    return bool(group.count) and not group.load and not group.loads and _weight(group.count) > 20


def list_loads(text: str) -> list[str]:
    """'80/65/50 kg' as loads of one unit each; percent of 1RM where none is written."""
    parts = [part.strip() for part in text.split("/")]
    unit = next((u for part in reversed(parts) if (u := _unit(part))), "%")
    return [_stamped(part, _unit(part) or unit) for part in parts]


def _unit(part: str) -> str:
    found = _UNIT.search(part)
    return found[1] or "" if found else ""


def _stamped(part: str, unit: str) -> str:
    number = _UNIT.sub("", part).strip()
    return f"{number}{'%' if unit == '%' else 'RM' if unit == 'rm' else f' {unit}'}"


def fields_of(line: Line, usual: Mapping[str, str]) -> Fields:
    """Flat fields as `scheme_from_fields` reads them; what the line leaves out is taken from `usual`.

    Raises EngineError where the line holds no scheme at all.
    """
    if not line.groups and not line.cluster:
        raise EngineError("Write sets, reps and a load, such as 4 x 6-8 @ 75 % or 3 x 10 RIR 2.")
    kind = kind_of(line)
    if kind in _OF_ONE_GROUP and len(line.groups) > 1:
        raise EngineError("One line writes one kind of sets; write the others on a line of their own.")
    sides = {g.side for g in line.groups}
    if len(sides) > 1:
        raise EngineError("All rows of one line are done on one side: left, right or both.")
    made = {
        "kind": kind, "sets": "1", "load_kind": "", "load_value": "", "reps": "", "rir": "", "ladder": "",
        "rest": line.rest or usual.get("rest") or FIRST["rest"], "hold": usual.get("hold") or FIRST["hold"],
        "side": sides.pop() if sides and sides != {""} else usual.get("side") or FIRST["side"],
    }  # fmt: skip
    return made | _BUILD.get(kind, _rows)(line, usual)


def _load(load: str) -> Fields:
    """The two fields of one load."""
    if not load:
        return {"load_kind": "effort", "load_value": ""}
    if load.endswith("%") and load[0] not in "+-":
        return {"load_kind": "percent", "load_value": load[:-1]}
    if load.endswith("RM"):
        return {"load_kind": "rep_max", "load_value": load[:-2]}
    if load.startswith("place"):
        return {"load_kind": "place", "load_value": load[6:]}
    if load.endswith(("kg", "lb")):
        return {"load_kind": "fixed", "load_value": load}
    raise EngineError(f"'{load}' is taken from the set before it; write the first load, such as 75 % or 60 kg.")


def _reps_of(group: Group) -> str:
    rep_max = group.load[:-2] if group.load.endswith("RM") else ""
    return group.reps or (rep_max if rep_max.isdigit() else "")


def _step(group: Group, usual: Mapping[str, str]) -> Fields:
    """Sets, load, reps and reserve of one group; load and reserve as before where neither is said."""
    made = {"sets": group.count or "1", "reps": _reps_of(group), "rir": group.rir or ""}
    if group.load or group.rir is not None:
        return made | _load(group.load)
    kept = {name: usual.get(name) or "" for name in ("load_kind", "load_value", "rir")}
    if not kept["rir" if kept["load_kind"] in ("", "effort") else "load_value"]:
        kept = {name: FIRST[name] for name in kept}
    if made["reps"] == "failure":
        if kept["load_kind"] == "effort":
            raise EngineError("A set to failure needs a load, such as 3 x failure @ 80 % or 3 x failure @ 60 kg.")
        kept["rir"] = ""
    elif made["reps"].endswith((" s", " m")) and kept["load_kind"] == "effort":
        kept["rir"] = ""
    return made | kept


def _needs_reps(made: Fields) -> Fields:
    if not made["reps"]:
        raise EngineError("Say how many reps: 8, 6-8, failure, 30 s or 20 m.")
    return made


def _straight(line: Line, usual: Mapping[str, str]) -> Fields:
    return _needs_reps(_step(line.groups[0], usual))


def _open_last(line: Line, usual: Mapping[str, str]) -> Fields:
    first = replace(line.groups[0], reps=line.groups[0].reps.removesuffix("+"))
    made = _needs_reps(_step(first, usual))
    least, stop = line.last or ("", "")
    if least and least != made["reps"]:
        raise EngineError(f"The last set starts from the {made['reps']} of the others, not from {least}.")
    if stop and _weight(stop) != _weight(made["rir"]):
        raise EngineError(f"The last set stops at the RIR of the others: write RIR {stop} for all of them.")
    return made


def _quota(line: Line, usual: Mapping[str, str]) -> Fields:
    first = line.groups[0]
    return _needs_reps(_step(replace(first, count=line.most or first.count or "20"), usual)) | {"ladder": line.until}


def _cluster(line: Line, usual: Mapping[str, str]) -> Fields:
    made = _step(line.groups[0] if line.groups else Group(), usual)
    return made | {"ladder": line.cluster}


def _rest_pause(line: Line, usual: Mapping[str, str]) -> Fields:
    return _needs_reps(_step(line.groups[0], usual)) | {"ladder": line.bouts}


def _row(group: Group, reps: str, rir: str | None) -> str:
    load = group.load or f"{group.count}%"
    reserve = "" if reps == "failure" else f" @ {rir or '-'}"
    return f"{load} x {reps}{reserve}"


def _drops(line: Line, usual: Mapping[str, str]) -> Fields:
    first = line.groups[0]
    if first.loads:
        reps = first.reps or "failure"
        loads = list_loads(first.loads)
        rows = [_row(Group(load=load), reps, first.rir) for load in loads]
        return {"sets": first.count or "1", "reps": reps, "rir": first.rir or "", "ladder": " / ".join(rows)}
    if line.drops and len(line.groups) == 1:
        load, count = line.drops
        first = replace(first, reps=_reps_of(first) or "failure")
        drop = f"{load} x {count}" if load[0] in "+-" or load.endswith(("down", "up")) else ""
        rows = [f"{load} x {first.reps}"] * min(int(count), 30)
        return _step(first, usual) | {"ladder": drop or "/ " + " / ".join(rows)}
    made = _step(replace(first, reps=first.reps or "failure"), usual)
    later = [_row(g, g.reps or first.reps or "failure", g.rir) for g in line.groups[1:]]
    return made | {"ladder": "/ " + " / ".join(later)}


def _rows(line: Line, usual: Mapping[str, str]) -> Fields:
    """A pyramid; one reserve at the end of rows written load x reps is that of all of them."""
    groups = line.groups
    if any(not _reps_of(g) for g in groups):
        raise EngineError("Each row needs a load and reps, such as 65x15, 75x10, 85x6.")
    *others, last = [g.rir for g in groups]
    shared = last if all(_high_count(g) or g.load_first for g in groups) and set(others) <= {None} else None
    rows = [_row(g, _reps_of(g), g.rir if g.rir is not None else shared) for g in groups]
    return {"ladder": "; ".join(rows)}


def _wave(line: Line, usual: Mapping[str, str]) -> Fields:
    groups = line.groups
    if any(g.load or _high_count(g) for g in groups):
        whole = _rows(line, usual)["ladder"].split("; ")
        parts = [
            f"{' / ' if g.sep == '/' else '; ' if n else ''}{row}"
            for n, (g, row) in enumerate(zip(groups, whole, strict=True))
        ]
        return {"ladder": "".join(parts)}
    reserves = {g.rir for g in groups if g.rir is not None}
    if len(reserves) > 1:
        raise EngineError("Rows without loads share one reserve, such as 7,5,3 / 7,5,3 RIR 1.")
    rir = reserves.pop() if reserves else usual.get("rir") or FIRST["rir"]
    return {"load_kind": "effort", "rir": rir, "ladder": "".join(_joined(g, g.reps, ", ") for g in groups)}


def _joined(group: Group, text: str, usual: str) -> str:
    """A row behind what separates it from the one before."""
    return f"{' / ' if group.sep == '/' else usual if group.sep else ''}{text}"


def _top_back_off(line: Line, usual: Mapping[str, str]) -> Fields:
    top, *later = line.groups
    made = _needs_reps(_step(top, usual))
    rows = []
    for group in later:
        if not (group.load and group.reps):
            raise EngineError("Back-off sets are written with reps and a load, such as 3 x 8 @ -10 %.")
        reserve = "" if group.reps == "failure" else f" @ {group.rir or '-'}"
        rows.append(f"{group.count or '1'} x {group.reps} @ {group.load}{reserve}")
    return made | {"ladder": "; ".join(rows)}


_BUILD: dict[str, Callable[[Line, Mapping[str, str]], Fields]] = {
    "straight": _straight, "open_last": _open_last, "quota": _quota, "cluster": _cluster, "rest_pause": _rest_pause,
    "drop_set": _drops, "light_to_heavy": _drops, "wave": _wave, "top_back_off": _top_back_off,
}  # fmt: skip
