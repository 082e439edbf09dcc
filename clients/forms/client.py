"""The form of one client's profile."""

from typing import Any

from django import forms

from clients.forms.fields import DayField, VersionField, WholeField
from clients.models import Client
from clients.selectors import visible_places
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import coaches


class ClientForm(forms.ModelForm):
    """A client's profile. Only the owner chooses the coach; `version` is there when editing."""

    born_on = DayField(label="Born on", required=False, help_text="Some defaults change from 65 years on.")
    training_since_on = DayField(label="Has trained since", required=False, help_text="About is enough.")
    days_per_week = WholeField(label="Days a week", low=1, high=7, unit="days", initial=3)
    minutes_per_session = WholeField(label="Minutes a session", low=10, high=240, unit="minutes", initial=60)

    class Meta:
        model = Client
        fields = (
            "name", "coach", "goal", "level", "training_since_on", "born_on", "days_per_week",
            "minutes_per_session", "unit", "place", "time_zone", "notes",
        )  # fmt: skip
        labels = {"unit": "Unit of loads", "place": "Usual place", "time_zone": "Time zone"}
        help_texts = {
            "time_zone": "Such as Europe/Lisbon: decides which day a session belongs to.",
            "notes": "Kept with the client and exported with them; never printed on the sheet.",
        }

    def __init__(self, *args: Any, desk: Membership, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = visible_places(desk)  # type: ignore[attr-defined]
        self.fields["place"].empty_label = "none yet"  # type: ignore[attr-defined]
        if desk.role == Membership.Role.OWNER:
            self.fields["coach"].queryset = coaches(desk)  # type: ignore[attr-defined]
            self.fields["coach"].label_from_instance = lambda coach: coach.user.name  # type: ignore[attr-defined]
            self.fields["coach"].empty_label = None  # type: ignore[attr-defined]
        else:
            del self.fields["coach"]
        if self.instance.pk:
            self.fields["version"] = VersionField()
            self.initial["version"] = self.instance.version

    def fields_typed(self) -> dict[str, Any]:
        """The checked values without the version, as the services take them."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}
