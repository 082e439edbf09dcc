"""What became of a session log since it was saved: who changed what, from what to what, and when."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from clients.models import Place
from coachdesk import engine
from coachdesk.practice.models import Act, Change
from programs.logs.models import SessionLog
from programs.models import Exercise

MOST_ACTS = 50
NAMES = {
    "logs.sessionlog": {"done_on": "day", "minutes": "minutes", "rating": "rating", "note": "note",
                        "skipped_why": "reason", "name": "name", "place_id": "place"},
    "logs.setlog": {"load": "load", "setting": "setting", "reps": "reps", "rir": "RIR"},
    "programs.painreport": {"pain": "pain", "next_morning": "pain the next morning", "note": "note"},
}  # fmt: skip
MOST_SHOWN = 60


@dataclass(frozen=True)
class Correction:
    """One act on a session log: who, when, in the act's own words, and field by field."""

    act: Act
    lines: tuple[str, ...]


def corrections(session_log: SessionLog) -> list[Correction]:
    """Every act on this log, newest first, its making too; at most 50. Three queries, four where a place changed."""
    acts = Act.objects.filter(practice_id=session_log.client.practice_id, subject=f"log:{session_log.key.hex}")
    found = list(acts.select_related("actor__user").order_by("-id")[:MOST_ACTS])
    changes: dict[int, list[Change]] = {}
    for change in Change.objects.filter(act__in=found, model__in=NAMES).order_by("id"):
        changes.setdefault(change.act_id, []).append(change)
    _name_places([change for rows in changes.values() for change in rows])
    names = _exercise_names(change for rows in changes.values() for change in rows)
    return [
        Correction(act, tuple(line for change in changes.get(act.pk, ()) if (line := _line(change, names))))
        for act in found
    ]


def _name_places(changes: Sequence[Change]) -> None:
    """In these changes, as they are shown, a place's id becomes its name."""
    values = [one for change in changes for one in (change.before, change.after) if one and one.get("place_id")]
    names = dict(Place.objects.filter(pk__in={one["place_id"] for one in values}).values_list("pk", "name"))
    for one in values:
        one["place_id"] = names.get(one["place_id"], "a place no longer there")


def _exercise_names(changes: Iterable[Change]) -> dict[int, str]:
    ids = {pk for one in changes if (pk := (one.after or one.before or {}).get("exercise_id"))}
    return dict(Exercise.objects.filter(pk__in=ids).values_list("pk", "name"))


def _line(change: Change, names: Mapping[int, str]) -> str:
    """'Bench press, set 2: reps 8 to 7'; '' where nothing that is shown changed."""
    values: dict[str, Any] = change.after or change.before or {}
    of = _what(change.model, values, names)
    if change.before is None or change.after is None:
        if change.model == "logs.sessionlog":
            return ""
        told = ", ".join(_told(change.model, name, values) for name in NAMES[change.model] if _has(values, name))
        return f"{of}: {told} {'added' if change.before is None else 'taken out'}"
    parts = [
        f"{words} {_shown(name, change.before)} to {_shown(name, change.after)}"
        for name, words in NAMES[change.model].items()
        if change.before.get(name) != change.after.get(name)
    ]
    return f"{of}: {', '.join(parts)}" if parts else ""


def _what(model: str, values: Mapping[str, Any], names: Mapping[int, str]) -> str:
    name = names.get(values.get("exercise_id") or 0, "The session")
    if model == "logs.setlog":
        drop = f", drop {values['step_no'] - 1}" if values.get("step_no", 1) > 1 else ""
        side = {"l": ", left", "r": ", right"}.get(values.get("side", "b"), "")
        return f"{name}, set {values.get('set_no')}{drop}{side}"
    return f"Pain, {name[0].lower() + name[1:] if name == 'The session' else name}" if "pain" in values else name


def _has(values: Mapping[str, Any], name: str) -> bool:
    return values.get(name) not in (None, "")


def _told(model: str, name: str, values: Mapping[str, Any]) -> str:
    words = NAMES[model][name]
    return _shown(name, values) if name in ("load", "setting") else f"{words} {_shown(name, values)}"


def _shown(name: str, values: Mapping[str, Any]) -> str:
    value = values.get(name)
    if value in (None, ""):
        return "blank"
    if name == "load":
        return engine.load_in_words(int(value), str(values.get("unit", "")))
    if name == "done_on":
        on = date.fromisoformat(str(value))
        return f"{on:%a} {on.day} {on:%b}"
    text = f"{value:g}" if isinstance(value, float) else str(value)
    return text if len(text) <= MOST_SHOWN else text[:MOST_SHOWN] + "..."
