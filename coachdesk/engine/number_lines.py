"""Every number the desk uses as a line to read: constants, curves, equations and conversions, with their sources."""

from __future__ import annotations

from dataclasses import dataclass

from .constants import CONSTANTS, HANDBOOK
from .equations import CHART
from .loads import KG_PER_LB
from .module_numbers import module_numbers
from .number_words import BASIS_WORDS, GROUPS, group_of, rule_basis, words_for
from .rules import DEFAULT

_MEMORY = " (formula partly from memory)"
# name: the formula as printed, and who published it.
EQUATION_SOURCES: dict[str, tuple[str, str]] = {
    "epley": ("load x (1 + reps / 30)", "Epley B 1985 Poundage chart, Boyd Epley Workout, Lincoln NE"),
    "brzycki": ("load x 36 / (37 - reps)", "Brzycki M 1993 JOPERD 64(1):88-90 doi:10.1080/07303084.1993.10606684"),
    "lander": ("100 x load / (101.3 - 2.67123 x reps)", "Lander J 1985 NSCA J 6(6):60-61"),
    "lombardi": ("load x reps ^ 0.10", "Lombardi VP 1989 Beginning Weight Training (Brown)"),
    "mayhew": (
        "100 x load / (52.2 + 41.9 x exp(-0.055 x reps))",
        "Mayhew JL et al 1992 J Appl Sport Sci Res 6:200-206",
    ),
    "oconner": ("load x (1 + 0.025 x reps)", "O'Conner B, Simmons J, O'Shea P 1989 Weight Training Today (West)"),
    "wathan": (
        "100 x load / (48.8 + 53.8 x exp(-0.075 x reps))",
        "Wathan D 1994 in Baechle ed. Essentials of Strength Training and Conditioning",
    ),
}
EFFORT = (
    "Zourdos MC et al 2016 JSCR 30(1):267-275 doi:10.1519/JSC.0000000000001049; "
    "Helms ER et al 2016 Strength Cond J 38(4):42-49 doi:10.1519/SSC.0000000000000218 (half points from memory)"
)


@dataclass(frozen=True)
class NumberLine:
    """One number or formula: heading key, words, value as text, unit, source, and the basis in words."""

    name: str
    group: str
    words: str
    value: str
    unit: str
    source: str
    basis: str


def number_lines() -> tuple[NumberLine, ...]:
    """All of them, by heading, then in the order of the tables they come from."""
    order = [key for key, _ in GROUPS]
    lines = [*_constant_lines(), *_curve_lines(), *_module_lines(), *_other_lines()]
    return tuple(sorted(lines, key=lambda line: order.index(line.group)))


def _constant_lines() -> list[NumberLine]:
    return [
        NumberLine(c.name, group_of(c.name), words_for(c.name), f"{c.value:g}", c.unit, c.source, BASIS_WORDS[c.basis])
        for c in CONSTANTS
    ]


def _curve_lines() -> list[NumberLine]:
    chart = ", ".join(f"{reps:g}: {100 * share:g}" for reps, share in CHART)
    source = f"{HANDBOOK}; row of 11 reps from memory"
    lines = [NumberLine("handbook", "curves", "Chart of reps to failure", chart, "% of 1RM", source, "published")]
    for name, (formula, who) in EQUATION_SOURCES.items():
        words = f"1RM by the equation {name}, 2 to 15 reps"
        lines.append(NumberLine(name, "curves", words, formula, "", who + _MEMORY, "published"))
    return lines


def _module_lines() -> list[NumberLine]:
    return [
        NumberLine(
            f"{one.module}.{one.name}", one.group, one.words, one.value, one.unit, one.source, BASIS_WORDS[one.basis]
        )
        for one in module_numbers()
    ]


def _other_lines() -> list[NumberLine]:
    ladder = ", ".join(f"{100 * share:g} x {reps}" for share, reps in DEFAULT.warmup)
    ((warmup_source, warmup_basis),) = rule_basis("warmup")
    pound = "NIST SP 811: 1959 international agreement, exact"
    return [
        NumberLine("warmup", "time", words_for("warmup"), ladder, "% x reps", warmup_source, warmup_basis),
        NumberLine("rir_rpe", "loads", "RPE from RIR", "10 - RIR, to 4 RIR; then bands", "RPE", EFFORT, "published"),
        NumberLine("kg_per_lb", "loads", "A pound", f"{float(KG_PER_LB):.8f}", "kg", pound, "published"),
    ]
