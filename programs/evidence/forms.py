"""The form of an evidence card."""

from typing import Any

from django import forms

from clients.forms.fields import VersionField, WholeField
from coachdesk.engine.number_words import GROUPS, group_of
from coachdesk.practice.text import CleanFormField
from programs.evidence.codes import FLAG_WORDS, rule_codes, scheme_codes
from programs.library.entry import PATTERNS
from programs.models import EvidenceCard

UNKNOWN = ("", "not known")


def about_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Scheme kinds, flags, then rules and numbers by heading."""
    rules = {code: words for code, words in rule_codes().items() if code not in FLAG_WORDS}
    groups = [(heading, [(c, w) for c, w in rules.items() if group_of(c) == key]) for key, heading in GROUPS]
    return [
        ("Schemes", list(scheme_codes().items())), ("Flags", list(FLAG_WORDS.items())),
        *((f"Rules: {heading}", rows) for heading, rows in groups if rows),
    ]  # fmt: skip


def _long(label: str, most: int, hint: str = "") -> CleanFormField:
    widget = forms.Textarea(attrs={"rows": 3})
    return CleanFormField(label=label, max_length=most, help_text=hint, widget=widget)


def _choice(label: str, choices: list[tuple[str, str]]) -> forms.ChoiceField:
    wrong = {"invalid_choice": "%(value)s is not one of the choices."}
    return forms.ChoiceField(label=label, required=False, choices=[UNKNOWN, *choices], error_messages=wrong)


class CardForm(forms.Form):
    """Every field a coach writes; `version` only where there is a card already."""

    title = CleanFormField(label="What it found, in one line", max_length=160)
    about = forms.MultipleChoiceField(
        label="About", required=False, choices=about_choices, widget=forms.SelectMultiple(attrs={"size": 8}),
        help_text="Schemes, flags and rules that should link to this card; hold Ctrl to choose several.",
        error_messages={"invalid_choice": "%(value)s is not a scheme, flag or rule of this desk."},
    )  # fmt: skip
    who = _long("Who was studied", 500)
    training = _choice("Training age", EvidenceCard.Training.choices)
    age_low = WholeField(label="Youngest", low=5, high=120, unit="years", required=False)
    age_high = WholeField(label="Oldest", low=5, high=120, unit="years", required=False)
    sex = _choice("Sex", EvidenceCard.Sex.choices)
    n = WholeField(label="How many", low=1, high=10_000_000, unit="people", required=False)
    measured = _choice("What was measured", EvidenceCard.Measured.choices)
    exercises = CleanFormField(label="Exercises", required=False, max_length=300)
    patterns = forms.MultipleChoiceField(
        label="Movement patterns", required=False, choices=[(one, one.replace("_", " ")) for one in PATTERNS],
        widget=forms.SelectMultiple(attrs={"size": 6}), help_text="Leave empty where any, or not known.",
        error_messages={"invalid_choice": "%(value)s is not a movement pattern."},
    )  # fmt: skip
    protocol = _long("What they actually did", 2000, "Loads, sets, rests, weeks: as done, not as the title says.")
    outcome = _long("What came out", 2000)
    limits = _long("What it cannot say", 2000)
    citation = CleanFormField(label="Citation", max_length=300)
    doi = CleanFormField(label="DOI", required=False, max_length=100)
    basis = forms.ChoiceField(label="How you know it", choices=EvidenceCard.Basis.choices)

    def __init__(self, *args: Any, card: EvidenceCard | None = None, **kwargs: Any) -> None:
        if card is not None:
            fields = [name for name in self.base_fields if name != "version"]
            kwargs["initial"] = {**{name: getattr(card, name) for name in fields}, "version": card.version}
        super().__init__(*args, **kwargs)
        if card is not None:
            self.fields["version"] = VersionField()

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        low, high = data.get("age_low"), data.get("age_high")
        if low is not None and high is not None and low > high:
            self.add_error("age_high", f"{high} years is below the youngest, {low}; write the older age here.")
        return data

    @property
    def values(self) -> dict[str, Any]:
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}
