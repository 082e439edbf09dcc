"""The form of one client's profile."""

from collections.abc import Mapping
from typing import Any

from django import forms

from clients.forms.fields import DayField, VersionField, WholeField
from clients.models import Client
from clients.notation import NotationError, parse_body_mass
from clients.selectors import health_consent, visible_places
from coachdesk.engine import format_load
from coachdesk.practice.models import Membership
from coachdesk.practice.selectors import coaches
from coachdesk.practice.text import CleanFormField


class ClientForm(forms.ModelForm):
    """A client's profile. Only the owner chooses the coach; `version` is there when editing."""

    born_on = DayField(label="Born on", required=False, help_text="Some defaults change from 65 years on.")
    training_since_on = DayField(label="Has trained since", required=False, help_text="About is enough.")
    days_per_week = WholeField(label="Days a week", low=1, high=7, unit="days", initial=3)
    minutes_per_session = WholeField(label="Minutes a session", low=10, high=240, unit="minutes", initial=60)
    body_mass = CleanFormField(
        label="Body mass", required=False, max_length=20,
        help_text="For pull-ups, dips and the like. In the unit of loads, or with its own: 160 lb.",
    )  # fmt: skip
    body_mass_on = DayField(label="Measured on", required=False, help_text="Blank: today.")

    class Meta:
        model = Client
        fields = (
            "name", "coach", "goal", "level", "training_since_on", "born_on", "days_per_week",
            "minutes_per_session", "unit", "place", "time_zone", "body_mass_on", "notes",
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
        consent = health_consent(self.instance) if self.instance.pk else None
        if consent is None or not consent.holds:
            # Asked only of those who agreed; what stands in the row already stays as it is.
            del self.fields["body_mass"], self.fields["body_mass_on"]
        else:
            self.fields["body_mass"].thousandths = True  # type: ignore[attr-defined]
        self.initial.update(self.from_columns(vars(self.instance)))
        if self.instance.pk:
            self.fields["version"] = VersionField()
            self.initial["version"] = self.instance.version

    def clean(self) -> dict[str, Any]:
        """Reads the body mass in the unit typed beside it, else in the unit of loads chosen on the same form."""
        data = super().clean() or self.cleaned_data
        if "body_mass" not in self.fields:
            return data
        text = data.pop("body_mass", "").strip()
        if "body_mass" not in self.data or "body_mass" in self.errors:
            return data
        data["body_mass"], unit = None, self.instance.body_mass_unit
        if text:
            try:
                data["body_mass"], unit = parse_body_mass(text, data.get("unit", self.instance.unit))
            except NotationError as problem:
                self.add_error("body_mass", str(problem))
        data["body_mass_unit"] = unit
        return data

    @staticmethod
    def from_columns(values: Mapping[str, Any]) -> dict[str, str]:
        """The body mass as it would be typed, from the row's columns."""
        mass = values.get("body_mass")
        return {"body_mass": "" if mass is None else f"{format_load(int(mass))} {values['body_mass_unit']}"}

    def fields_typed(self) -> dict[str, Any]:
        """The checked values without the version, as the services take them."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}
