"""Every number the desk uses, searchable, with the places in the engine that use it, read from its own source."""

import ast
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from coachdesk import engine
from coachdesk.engine.number_lines import NumberLine, number_lines
from coachdesk.engine.number_words import BASIS_WORDS, GROUPS
from coachdesk.practice.text import fold

# What a module of the engine is for, in words; one that is not named here is shown by its name.
PLACES = {
    "choose_load": "choosing loads", "columns": "many clients at once", "context": "what flags need to know",
    "curves": "load against reps", "effort": "RIR and RPE", "equations": "load against reps",
    "fatigue": "fatigue over days", "fit": "fitting the model", "fit_reps": "reps at the load made",
    "flag_care": "flags of care", "flag_dates": "flags of tests and peaks",
    "flag_habit": "flags of volume against habit", "flag_layoff": "flags of layoff",
    "flag_limits": "flags of screening, the untrained and maxima", "flag_loads": "flags of loads",
    "flag_maximum": "flags of maxima", "flag_recovery": "flags of recovery", "flag_reports": "flags of reports",
    "flag_session": "flags of one session", "flag_targets": "flags of targets and jumps",
    "flag_techniques": "flags of advanced techniques", "flag_tools": "ways out of flags",
    "flag_volume": "flags of weekly sets", "habit": "habit", "learn": "learning from logs",
    "ledgers": "strength left in a session", "library": "the exercise library", "lifts": "sets of a lift",
    "load_series": "session rating load",
    "loads": "units", "makeable_load": "rounding",
    "need": "the order of the roster", "pain": "pain rule", "plans": "what is known of a client",
    "predict_step": "reps to expect", "prescribe": "prescribing a session", "programme": "a programme's weeks",
    "progress": "progression", "quota": "volume quota", "ramp": "test of a maximum",
    "reps_range": "range of reps to expect",
    "scheme": "schemes", "session_load": "session rating load", "setting": "how an exercise is set up",
    "strength": "estimate of the maximum", "strength_left": "strength left in a session",
    "summary": "what a session costs", "symmetry": "symmetry", "technique_edits": "ways out of flags",
    "timing": "minutes", "volume": "counting sets", "warmup": "warm-up sets",
}  # fmt: skip
LONG = 14
# They declare, describe or list numbers; they do not use them.
TABLES = {"__init__", "coverage", "flag_reasons", "module_numbers", "number_lines", "number_words", "rules", "simulate"}
ALWAYS = {
    "indirect_share": ("library", "volume"), "endurance_leg_press": ("library",), "endurance_lower": ("library",),
    "equation_checked_to": ("curves",),
    **dict.fromkeys(("change_stack_s", "change_dumbbell_s", "change_plates_s"), ("timing", "prescribe")),
    "handbook": ("curves",), "rir_rpe": ("effort",), "kg_per_lb": ("loads",),
    **dict.fromkeys(("epley", "brzycki", "lander", "lombardi", "mayhew", "oconner", "wathan"), ("curves",)),
}  # fmt: skip


@dataclass(frozen=True)
class ShownNumber:
    """A line of the table with where it is used in words, and whether it is a house rule."""

    line: NumberLine
    used: tuple[str, ...]
    is_rule: bool

    @property
    def is_long(self) -> bool:
        """Formulas and lists stand with the words: as a column they would push the others off the page."""
        return len(self.line.value) > LONG


@cache
def uses() -> dict[str, tuple[str, ...]]:
    """Name of a constant or rule -> modules of the engine that mention it, from the engine's own source."""
    found: dict[str, set[str]] = {}
    for path in sorted(Path(engine.__file__).parent.glob("*.py")):
        if path.stem not in TABLES and not path.stem.startswith("constants"):
            for name in _mentions(ast.parse(path.read_text(encoding="utf-8"))):
                found.setdefault(name, set()).add(path.stem)
    return {name: tuple(sorted(places)) for name, places in found.items()}


def _mentions(tree: ast.Module) -> Iterable[str]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield node.value
        elif isinstance(node, ast.Attribute):
            yield node.attr


def places_of(name: str) -> tuple[str, ...]:
    """Where a number is used, in words, without repeats; a band by what looks bands up."""
    if "." in name:
        return (_place(name.partition(".")[0]),)
    modules = ALWAYS.get(name) or uses().get(name) or uses().get(name.removesuffix("_low").removesuffix("_high"), ())
    if not modules and name.startswith("band_"):
        modules = ("flag_volume",)
    return tuple(dict.fromkeys(_place(module) for module in modules))


def _place(module: str) -> str:
    known = PLACES.get(module) or PLACES.get(module.split("_")[0])
    return known or module.replace("_", " ")


def shown_numbers(query: str = "", basis: str = "") -> list[tuple[str, list[ShownNumber]]]:
    """The table by heading; every word of `query` must occur somewhere in the line, and the basis be that one."""
    words, rules = fold(query).split(), set(engine.Rules.__dataclass_fields__)
    found: dict[str, list[ShownNumber]] = {}
    for line in number_lines():
        used = places_of(line.name)
        text = fold(" ".join((line.words, line.value, line.unit, line.source, line.basis, *used)))
        if all(word in text for word in words) and basis in ("", line.basis):
            stem = line.name.removesuffix("_low").removesuffix("_high")
            is_rule = line.name in rules or (stem.startswith("band_") and stem in rules)
            found.setdefault(line.group, []).append(ShownNumber(line, used, is_rule))
    return [(heading, found[key]) for key, heading in GROUPS if key in found]


def bases() -> list[str]:
    """The kinds of basis there are, in words."""
    return list(BASIS_WORDS.values())
