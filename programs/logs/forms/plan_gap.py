"""The form of having seen that the plan had left a sheet."""

from django import forms

from clients.forms.fields import VersionField


class SeenForm(forms.Form):
    """Cleans to the version of what was seen."""

    version = VersionField()

    @property
    def words(self) -> str:
        """What is wrong, in words."""
        return " ".join(str(error) for errors in self.errors.values() for error in errors)
