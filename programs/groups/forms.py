"""Binding what a coach types about a group."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from clients.forms.fields import RowsField, VersionField
from clients.models import Client, Place
from coachdesk.practice.text import CleanFormField
from programs.models.group import FEWEST, MOST


class GroupForm(forms.Form):
    """A group's name, its place and who is in it."""

    name = CleanFormField(label="Name", max_length=80, help_text="Such as Tuesday six o'clock.")
    place = forms.ModelChoiceField(
        Place.objects.none(), required=False, label="Place", empty_label="each client's own place",
        help_text="With a place, everybody's loads are made from its equipment, and who must wait is found.",
    )  # fmt: skip
    members = RowsField(
        Client.objects.none(), label="Clients", widget=forms.CheckboxSelectMultiple,
        error_messages={"required": f"Choose {FEWEST} to {MOST} clients."},
    )  # fmt: skip
    was = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput())

    def __init__(
        self, *args: Any, places: QuerySet[Place], clients: QuerySet[Client], version: int | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = places  # type: ignore[attr-defined]
        self.fields["members"].queryset = clients  # type: ignore[attr-defined]
        if version is not None:
            self.fields["version"] = VersionField()
            self.initial["version"] = version

    def clean_members(self) -> list[Client]:
        found = list(self.cleaned_data["members"])
        if not FEWEST <= len(found) <= MOST:
            count = "1 client is" if len(found) == 1 else f"{len(found)} clients are"
            raise forms.ValidationError(f"{count} chosen; a group has {FEWEST} to {MOST}.")
        return found

    def clean_was(self) -> set[int]:
        """The members the form was drawn with."""
        return {int(part) for part in self.cleaned_data["was"].split(",") if part.isascii() and part.isdigit()}
