"""Form fields that say what is wrong, the value and what would be right; and the version a form carries."""

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from coachdesk.practice.text import clean_text

MOST_DIGITS, MOST_ID_DIGITS = 9, 18


class WholeField(forms.CharField):
    """A whole number from `low` to `high` of some unit, typed as text so that nothing typed is lost."""

    def __init__(self, *, low: int, high: int, unit: str, **kwargs: Any) -> None:
        self.low, self.high, self.unit = low, high, unit
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "numeric"}))
        super().__init__(**kwargs)

    def clean(self, value: Any) -> int | None:
        """The number, or None for a blank field that may be blank."""
        text = clean_text(str(super().clean(value))).strip()
        if not text:
            return None
        right = f"write a whole number of {self.unit} from {self.low} to {self.high}"
        if len(text) > MOST_DIGITS or not text.isdecimal():
            raise ValidationError(f"'{text[:40]}' is no whole number; {right}.")
        if not self.low <= int(text) <= self.high:
            raise ValidationError(f"{int(text)} {self.unit} is outside the range; {right}.")
        return int(text)


class DayField(forms.DateField):
    """A date, chosen or typed as 2026-11-24 or 24.11.2026."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}))
        kwargs.setdefault("input_formats", ["%Y-%m-%d", "%d.%m.%Y"])
        super().__init__(**kwargs)

    def to_python(self, value: Any) -> date | None:
        try:
            return super().to_python(value)
        except (ValidationError, ValueError, OverflowError):
            raise ValidationError(f"'{clean_text(str(value))[:40]}' is no date; write it like 2026-11-24.") from None


class RowsField(forms.ModelMultipleChoiceField):
    """Several rows by id; an id past a database's range is refused like any other that is not there."""

    def _check_values(self, value: Any) -> Any:
        for one in value:
            if len(str(one)) > MOST_ID_DIGITS:
                params = {"value": clean_text(str(one))[:40]}
                raise ValidationError(self.error_messages["invalid_choice"], code="invalid_choice", params=params)
        return super()._check_values(value)  # type: ignore[misc]


class VersionField(forms.IntegerField):
    """The version of the row that the page showed, so that a stale edit is noticed."""

    def __init__(self) -> None:
        lost = "This page has lost track of the version it showed; open it again, then repeat the change."
        messages = dict.fromkeys(("required", "invalid", "min_value", "max_value"), lost)
        super().__init__(
            min_value=1,
            max_value=2**31 - 1,
            widget=forms.HiddenInput(),
            error_messages=messages,
            label="Version",
        )


def put_errors(form: forms.BaseForm, problem: ValidationError) -> None:
    """Show a service's refusal on the form: at its fields where they are, else above them."""
    if not hasattr(problem, "error_dict"):
        form.add_error(None, problem)
        return
    known = {name: errors for name, errors in problem.error_dict.items() if name in form.fields}
    for name, errors in (known or problem.error_dict).items():
        form.add_error(name if name in known else None, [str(m) for e in errors for m in e.messages])
    if known and NON_FIELD_ERRORS in problem.error_dict:
        form.add_error(None, ValidationError(problem.error_dict[NON_FIELD_ERRORS]))
