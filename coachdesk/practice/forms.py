"""Binding what a person types to sign in, and a new password."""

from typing import Any

from django import forms

from coachdesk.practice.models import User


class SignInForm(forms.Form):
    """E-mail address and password."""

    email = forms.EmailField(label="E-mail address", max_length=254)
    password = forms.CharField(label="Password", max_length=200, widget=forms.PasswordInput, strip=False)


class PasswordForm(forms.Form):
    """A new password twice, and the present one of those who have one."""

    current = forms.CharField(
        label="Present password", max_length=200, strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )  # fmt: skip
    new = forms.CharField(
        label="New password", max_length=200, strip=False, help_text="At least 12 characters, and no common one.",
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip
    again = forms.CharField(
        label="New password again", max_length=200, strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )  # fmt: skip

    def __init__(self, *args: Any, user: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not user.has_usable_password():
            del self.fields["current"]

    def clean(self) -> dict[str, Any]:
        """Both must be the same."""
        data = super().clean() or self.cleaned_data
        if "new" in data and "again" in data and data["new"] != data["again"]:
            self.add_error("again", "This is not what stands above; write the new password twice the same.")
        return data
