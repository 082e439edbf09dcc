"""What an owner types about those who work in the practice, and about a client who is handed over."""

from collections.abc import Mapping
from typing import Any

from django import forms

from clients.forms.fields import RowsField, VersionField
from coachdesk.practice.models import Membership, User
from coachdesk.practice.selectors import coaches
from coachdesk.practice.text import CleanFormField

MOST_ID_DIGITS = 18
NO_COACH = {"invalid_choice": "This is no coach of this practice any more; choose another."}
EACH = "Why, and what to look at. It stays with each client and is exported with them."


class CoachField(forms.ModelChoiceField):
    """One coach by name."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Membership.objects.none(), error_messages=NO_COACH, **kwargs)

    def label_from_instance(self, obj: Membership) -> str:
        return obj.user.name

    def to_python(self, value: Any) -> Any:
        # An id past a database's range is refused like any other that is not there.
        return super().to_python(value if len(str(value)) <= MOST_ID_DIGITS else "0")


class CoachesField(RowsField):
    """Several coaches by name."""

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.user.name)


class NoteField(CleanFormField):
    """What the coach who gives clients away tells the new one."""

    def __init__(self, *, help_text: str, rows: int = 3) -> None:
        super().__init__(
            label="Note to the new coach", required=False, max_length=1000, help_text=help_text,
            widget=forms.Textarea(attrs={"rows": rows}),
        )  # fmt: skip


class StaffForm(forms.Form):
    """A role, and for an assistant what they may do and for whom; name and address of somebody new."""

    name = CleanFormField(label="Name", max_length=120)
    email = forms.EmailField(label="E-mail address", max_length=254, help_text="They sign in with it.")
    role = forms.ChoiceField(
        label="Role", choices=Membership.Role.choices, initial=Membership.Role.COACH, widget=forms.RadioSelect,
        error_messages=dict.fromkeys(("required", "invalid_choice"), "Choose owner, coach or assistant."),
        help_text="An owner sees every client and this page; a coach their own clients; an assistant reads.",
    )  # fmt: skip
    assists = CoachesField(
        queryset=Membership.objects.none(), label="Assists", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="For assistants: they see the clients of these coaches and nobody else's.",
    )  # fmt: skip
    may_log = forms.BooleanField(
        label="May log sessions and issue sheets", required=False,
        help_text="For assistants. They still change no programme and no rule, and hand nobody over.",
    )  # fmt: skip

    def __init__(self, *args: Any, desk: Membership, member: Membership | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["assists"].queryset = coaches(desk)  # type: ignore[attr-defined]
        if member is not None:
            del self.fields["name"], self.fields["email"]
            self._show(member)

    def _show(self, member: Membership) -> None:
        assisted = list(member.assists.values_list("pk", flat=True))
        self.fields["version"], self.fields["was"] = VersionField(), CleanFormField(required=False, max_length=4000)
        self.fields["was"].widget = forms.HiddenInput()
        self.initial.update(
            role=member.role, may_log=member.may_log, assists=assisted, version=member.version,
            was=" ".join(map(str, assisted)),
        )  # fmt: skip

    def clean_was(self) -> list[int]:
        """The ids of those who were assisted when the form was drawn."""
        words = self.cleaned_data["was"].split()
        return [int(one) for one in words if one.isascii() and one.isdigit() and len(one) <= MOST_ID_DIGITS]


class PersonForm(forms.Form):
    """Somebody's name and the address they sign in with; `was_...`: as the page showed them."""

    name = CleanFormField(label="Name", max_length=120)
    email = forms.EmailField(
        label="E-mail address", max_length=254,
        help_text="They sign in with it from the next time on; the old one opens nothing any more. The password stays, "
        "and where they are signed in they stay so. The desk sends no mail: tell them yourself.",
    )  # fmt: skip
    was_name = CleanFormField(widget=forms.HiddenInput(), required=False, max_length=120, strip=False)
    was_email = CleanFormField(widget=forms.HiddenInput(), required=False, max_length=254)

    def __init__(self, *args: Any, user: User, typed: Mapping[str, Any] | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shown = {"name": user.name, "email": user.email}
        self.initial.update({**shown, **(typed or {})}, was_name=user.name, was_email=user.email)


class LeaveForm(forms.Form):
    """Who takes over what somebody who leaves coaches, and a note to them."""

    heir = CoachField(label="Clients and groups go to", required=False, empty_label="nobody: there are none")
    note = NoteField(help_text=EACH)

    def __init__(self, *args: Any, desk: Membership, member: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["heir"].queryset = coaches(desk).exclude(pk=member.pk)  # type: ignore[attr-defined]


class HandoverForm(forms.Form):
    """To whom a client goes, with a note; `was` is the coach the page was drawn with."""

    to = CoachField(label="New coach", empty_label="choose a coach")
    note = NoteField(help_text="Why, and what to look at. It stays with the client and is exported with them.", rows=4)
    was = forms.IntegerField(widget=forms.HiddenInput(), max_value=10**18, min_value=1)

    def __init__(self, *args: Any, desk: Membership, coach: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to"].queryset = coaches(desk)  # type: ignore[attr-defined]
        self.fields["to"].error_messages["required"] = "Choose the coach who takes over."
        self.initial["was"] = coach.pk
