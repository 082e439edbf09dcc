"""Why a number is what it is: the kind of rule and its numbers, turned into a sentence when read."""

from __future__ import annotations

from dataclasses import dataclass

from .errors import EngineError, instance
from .flag_reasons import FLAG_TEMPLATES
from .scheme_words import plain

TEMPLATES: dict[str, str] = {
    "percent": "{percent} % of the 1RM of {maximum} {unit} is {target} {unit}.",
    "rep_max": "{reps}RM is {percent} % of the 1RM of {maximum} {unit}: {target} {unit}.",
    "effort": "{reps} reps with {rir} in reserve is a {total}RM, {percent} % of the 1RM of {maximum} {unit}: "
    "{target} {unit}.",
    "fixed": "The coach wrote {target} {unit}.",
    "drop_percent": "{percent} % less than {before} {unit} is {target} {unit}.",
    "drop_places": "{places} down from {before} {unit} is {made} {unit}.",
    "lower_quarter": "Taken from the lower quarter of the estimate ({maximum} {unit}) instead of its middle "
    "({mean} {unit}): {why}.",
    "rounded": "{target} {unit} cannot be made; {made} {unit} is the {direction} that can.",
    "next_down": "The nearest load is no lighter than the step before; next one down: {made} {unit}.",
    "resolved": "{made} {unit} is {off} % off {target} {unit}, so the reps go from {before} to {reps} "
    "to keep {rir} in reserve.",
    "strength_left": "With {strength} % of strength left, {left} reps could be done at this load.",
    "held_rir": "The reserve is kept and the load follows the strength left ({strength} %).",
    "ramp": "No maximum is known: go up in small steps until {reps} reps leave {rir} in reserve.",
    "no_maximum": "No maximum is known, so the load of this {rule} cannot be worked out.",
    "drop_unknown": "The load before this drop is not known yet: take it off on the day.",
    "no_equipment": "No equipment is set up for this exercise: {made} {unit} is rounded to half a unit "
    "and may not be one that can be made.",
    "by_effort": "Reps in reserve decide the load of this timed or measured step.",
    "no_units": "This equipment has no units: choose the step that leaves the reserve asked for.",
    "no_body_mass": "The body mass is not known, so the load cannot be worked out.",
    "fixed_assistance": "The coach wrote {target} {unit} of assistance.",
    "place": "The coach wrote place {place} of what there is here: {made}.",
    "place_up": "Last time all sets on {before} reached their reps with reserve: next one up, {made}.",
    "place_stays": "Last time was on {before}, {reps} reps at least; it stays until every set reaches the top.",
    "place_down": "Last time on {before} reps or reserve were missed: one down, {made}.",
    "place_unknown": "There is no list of loads here to count places on.",
    "place_beyond": "There are only {places} places here; place {place} becomes the last one.",
    "same": "The load stays.",
    "held_load": "The load stays at {made} {unit} while the reps stay in their range.",
    "rise_percent": "{percent} % more than {before} {unit} is {target} {unit}.",
    "rise_places": "{places} up from {before} {unit} is {made} {unit}.",
    "next_up": "The nearest load is no heavier than the step before; next one up: {made} {unit}.",
    "rise_removed": "The rise to {target} {unit} is left out: the heaviest load is {heaviest} {unit}.",
    "added": "{moved} {unit} is moved: {body} {unit} of the body and {added} {unit} added.",
    "assisted": "{moved} {unit} is moved: {body} {unit} of the body less {assistance} {unit} of assistance.",
    "too_light": "At {percent} % of 1RM the reserve is not predicted; reps are as written.",
    "no_best": "No best {what} at this load is known, so it is not predicted.",
    "timed": "The best known is {best} {unit}; {left} {unit} can be done with {strength} % of strength left. "
    "Time counts like reps here, a modelling choice.",
    "quota": "The quota of {target} {unit} x reps is reached in set {sets}, with {made}.",
    "quota_short": "{sets} sets come to {made} of the {target} {unit} x reps asked for.",
    "quota_unknown": "Without a known load and reps the number of sets of this quota cannot be worked out.",
    "as_written": "Body weight without a known body mass: reps are as written, not predicted.",
    "not_makeable": "{target} {unit} cannot be made here; the nearest is {made} {unit}, {off} % off.",
    "reps_out_of_range": "At {made} {unit}, {low} to {high} reps miss the reserve of {rir} by {missed}.",
    "drop_removed": "The drop to {target} {unit} is left out: the lightest load is {lightest} {unit}.",
    "not_predicted": "At {percent} % of 1RM reps to failure are not predicted.",
    "warmup": "{percent} % of the working load of {load} {unit}.",
    **FLAG_TEMPLATES,
}


@dataclass(frozen=True)
class Because:
    """A kind of rule (a key of TEMPLATES) and its numbers as (name, value) pairs."""

    kind: str
    numbers: tuple[tuple[str, float | str], ...] = ()

    def get(self, name: str) -> float | str | None:
        """The number of that name, or None."""
        return dict(self.numbers).get(name)


def reason(kind: str, **numbers: float | str) -> Because:
    """A Because with its numbers given by name."""
    return Because(kind, tuple(numbers.items()))


class _Shown(str):
    """A number as text that bends the word after it: '{days:day}' is '1 day' or '2 days', '{days:is/are}' the verb."""

    def __format__(self, spec: str) -> str:
        if not spec:
            return str(self)
        one, choice, many = spec.partition("/")
        if choice:
            return one if self == "1" else many
        return f"{self} {one if self == '1' else one + 's'}"


def _shown(value: object) -> _Shown:
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        return _Shown(plain(round(value, 1)))
    return _Shown(value)


def sentence(because: Because) -> str:
    """The reason as one sentence in plain words; numbers to one decimal."""
    instance("because", because, Because)
    template = TEMPLATES.get(because.kind)
    if template is None:
        raise EngineError("kind of reason", because.kind, "one of " + ", ".join(TEMPLATES))
    try:
        return template.format(**{name: _shown(value) for name, value in because.numbers})
    except (KeyError, TypeError, ValueError) as wrong:
        raise EngineError("numbers of the reason", because.numbers, f"pairs that {because.kind} needs") from wrong
