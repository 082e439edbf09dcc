"""The form of an answer to a client's message."""

from django import forms

from coachdesk.practice.text import CleanFormField, few_marks

LOST = "Reload the page and try again."


class AnswerForm(forms.Form):
    """Cleans to the answer, '' to take it back, and the version of the message it answers."""

    answer = CleanFormField(label="Answer", required=False, max_length=1000, validators=[few_marks])
    version = forms.IntegerField(
        min_value=1, max_value=2**31 - 1,
        error_messages=dict.fromkeys(("required", "invalid", "min_value", "max_value"), LOST),
    )  # fmt: skip

    @property
    def typed(self) -> str:
        return str(self.data.get("answer", ""))[:2000]

    @property
    def words(self) -> str:
        """What is wrong, in words."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)
