"""The form of one line of pain: during the session, the next morning, and a note."""

from typing import Any

from django import forms

from coachdesk.practice.text import CleanFormField
from programs.logs.forms.reading import WholeField

LOST = "Reload the page and try again."


class PainForm(forms.Form):
    """Cleans to pain and next_morning (0 to 10 or None) and a note; `exercise` is an id, or None for the session."""

    exercise = forms.CharField(max_length=20, error_messages={"required": LOST})
    pain = WholeField(low=0, high=10, what="points of pain", label="Pain")
    next_morning = WholeField(low=0, high=10, what="points of pain", label="Pain the next morning")
    note = CleanFormField(label="Note", required=False, max_length=200)
    version = forms.IntegerField(
        min_value=0, max_value=2**31 - 1, error_messages=dict.fromkeys(("required", "invalid", "min_value"), LOST)
    )

    def clean_exercise(self) -> int | None:
        text = self.cleaned_data["exercise"]
        if text == "session":
            return None
        if text.isascii() and text.isdigit() and len(text) < 19:
            return int(text)
        raise forms.ValidationError(LOST)

    @property
    def values(self) -> dict[str, Any]:
        return {name: self.cleaned_data[name] for name in ("pain", "next_morning", "note")}

    @property
    def typed(self) -> dict[str, str]:
        return {name: str(self.data.get(name, "")).strip()[:200] for name in ("pain", "next_morning", "note")}

    @property
    def found(self) -> dict[str, str]:
        """Errors by field as plain words; `row` for what belongs to no cell."""
        words = {name: " ".join(str(e) for e in errors) for name, errors in self.errors.items()}
        rest = [words.pop(name) for name in ("__all__", "exercise", "version") if name in words]
        return {**words, "row": " ".join(rest)} if rest else words
