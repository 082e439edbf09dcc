"""Reading one typed number: every refusal says what is wrong, the value, and what would be right."""

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from coachdesk import engine
from coachdesk.engine.loads import decimal_text, plain_digits
from coachdesk.practice.text import fold
from programs.models import Exercise

MOST = {"reps": 100, "seconds": 3600, "metres": 5000}
MOST_RIR = 10
# A typed load this far from the planned one is asked about even when it looks like no known slip:
# common practice, no source.
FAR_ABOVE, FAR_BELOW = 1.5, 0.6
SHOWN = 40
# How a load that is asked about is confirmed.
TICK = "tick that it is right"


def _shown(text: str) -> str:
    return text if len(text) <= SHOWN else text[:SHOWN] + "..."


def read_whole(text: str, low: int, high: int, what: str) -> int:
    """A whole number within [low, high]; full-width digits are read too."""
    plain = plain_digits(text) if len(text) <= SHOWN else ""
    if plain.isascii() and plain.isdigit() and len(plain) <= 9 and low <= int(plain) <= high:
        return int(plain)
    raise ValidationError(f"'{_shown(text)}' is not a number of {what} that can be kept; {low} to {high}, no decimals.")


def read_reps(text: str, rep_kind: str) -> int:
    """Reps, seconds or metres that were done, at least 1."""
    return read_whole(text, 1, MOST[rep_kind], rep_kind)


def read_rir(text: str) -> float:
    """Reps in reserve, 0 to 10, halves allowed, comma or point."""
    right = f"a number from 0 to {MOST_RIR}, such as 2 or 1.5"
    try:
        rir = float(decimal_text("RIR", text.strip(), right))
    except engine.EngineError:
        rir = -1.0
    if not 0 <= rir <= MOST_RIR:
        raise ValidationError(f"'{_shown(text)}' is not a RIR; {right}.")
    return rir


def read_load(text: str, unit: str, planned: int | None, *, on_body: bool = False) -> int:
    """A load in thousandths of `unit`. Zero only where nothing or zero was planned: body weight.

    `on_body`: added to the body, so that 0 is plain body weight and '14 assistance' or '-14' is below 0.
    """
    right = "a number such as 42.5, with at most three decimals"
    if on_body:
        right = "10 for what was added, '14 assistance' for what was taken off, 0 for the body alone"
    try:
        load = engine.parse_added(text.strip(), unit) if on_body else engine.parse_load(text.strip(), unit).thousandths
    except engine.EngineError:
        raise ValidationError(f"'{_shown(text)}' is not a load in {unit}; {right}.") from None
    if load == 0 and planned and not on_body:
        raise ValidationError(f"A load of 0 {unit} cannot be kept; leave it blank for the planned load.")
    return load


def read_setting(text: str, settings: Sequence[str]) -> str:
    """One of the settings of equipment without units, whatever the case."""
    found = {fold(name): name for name in settings}.get(fold(text))
    if found is None:
        raise ValidationError(f"'{_shown(text)}' is no setting here; {', '.join(settings)}.")
    return found


def read_exercise(text: str, library: Mapping[str, Exercise]) -> Exercise:
    """An exercise by its name or code, whatever the case; the closest names are offered otherwise."""
    folded = fold(text)
    found = library.get(folded) or library.get(folded.replace(" ", "_"))
    if found is None:
        names = {row.folded: row.name for row in library.values()}
        near = ", ".join(names[one] for one in get_close_matches(folded[:80], names, n=3, cutoff=0.5))
        hint = f"; the closest are {near}" if near else ""
        raise ValidationError(f"'{_shown(text)}' is not in the exercise library{hint}.")
    return found


def doubt_about(load: int, planned: int | None, unit: str, body: int | None = None) -> str | None:
    """Words that ask about a load far from the planned one, or None when it is near, or nothing was planned.

    `body`: what the body adds. Assistance planned and the same number typed without the word is asked about, too.
    """
    if planned and planned < 0 < load:
        return (
            f"{engine.format_load(load)} {unit} is added load, and {engine.load_in_words(planned, unit)} is planned; "
            f"write 'assistance' behind it, or {TICK}."
        )
    if body:
        return _doubt_on_body(load, planned, unit, body)
    if not load or not planned or load < 0 or planned < 0:
        return None
    ratio = load / planned
    if FAR_BELOW < ratio < FAR_ABOVE:
        return None
    slip = engine.suspicious_ratio(engine.to_kg(load, unit), engine.to_kg(planned, unit))
    times = f"{ratio:.1f} times" if ratio >= 1 else f"{ratio:.0%} of"
    guess = f" ({slip}?)" if slip else ""
    return (
        f"{engine.format_load(load)} {unit} is {times} the planned {engine.format_load(planned)} {unit}{guess}; "
        f"correct it, or {TICK}."
    )


def _doubt_on_body(load: int, planned: int | None, unit: str, body: int) -> str | None:
    """Against the body a typed load matters less, so what is moved is compared."""
    if planned is None:
        return None
    ratio = max(0, load + body) / max(1, planned + body)
    if FAR_BELOW < ratio < FAR_ABOVE:
        return None
    return (
        f"{engine.load_in_words(load, unit)} moves {engine.format_load(max(0, load + body))} {unit}, planned were "
        f"{engine.format_load(planned + body)}; correct it, or {TICK}."
    )


class WholeField(forms.CharField):
    """An optional whole number typed as text, so that what was typed comes back as it was."""

    def __init__(self, *, low: int, high: int, what: str, **kwargs: Any) -> None:
        self.low, self.high, self.what = low, high, what
        widget = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(required=False, widget=widget, **kwargs)

    def clean(self, value: Any) -> Any:
        text = str(value or "").strip()
        return read_whole(text, self.low, self.high, self.what) if text else None


class DayField(forms.DateField):
    """A past day or today, in the forms people write."""

    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    input_formats = ["%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y", "%d %b %Y", "%d %B %Y"]
    default_error_messages = {
        "invalid": "This is not a date; write it like 2026-11-24 or 24 Nov 2026.",
        "required": "Say on which day it was, like 2026-11-24.",
    }
