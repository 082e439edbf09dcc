"""The forms of equipment, one for each kind; each reads typed text into the engine's value and back."""

from collections.abc import Callable
from typing import Any, ClassVar

from django import forms

from clients.equipment_words import made_loads
from clients.forms.fields import VersionField, WholeField
from clients.models import UNITS
from clients.notation import (
    NotationError,
    loads_text,
    parse_bands,
    parse_loads,
    parse_one,
    parse_plates,
    parse_settings,
    plates_text,
)
from coachdesk.engine import (
    Barbell,
    BodyWeight,
    Dumbbells,
    EngineError,
    FixedBars,
    Ordinal,
    Stack,
    format_load,
)
from coachdesk.practice.text import CleanFormField

MOST_ALIKE = 99
LOADS_HINT = "Single loads and runs: 1-10 by 1; 12.5-40 by 2.5. A comma may be the decimal sign."


class LineField(CleanFormField):
    """One line, or a few, of a typed list."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=2000, **kwargs)


class EquipmentForm(forms.Form):
    """What every kind has: a name, a unit, and the version when editing."""

    kind: ClassVar[str] = ""
    name = CleanFormField(label="Name", max_length=80)
    unit = forms.ChoiceField(label="Unit stamped on it", choices=UNITS)
    # What `count` counts, '' where two people never wait for one.
    counted: ClassVar[str] = "How many there are"

    def __init__(self, *args: Any, version: int | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if version is not None:
            self.fields["version"] = VersionField()
            self.initial["version"] = version
        if self.counted:
            self.fields["count"] = WholeField(
                low=1, high=MOST_ALIKE, unit="pieces", label=self.counted, initial=1, required=False,
                help_text="Used at once by a group; one where nothing is written.",
            )  # fmt: skip
        self.value: Any = None

    @property
    def count(self) -> int:
        """How many alike there are; 1 where nothing was typed."""
        return self.cleaned_data.get("count") or 1

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if "unit" not in data and "unit" in self.fields:
            return data
        parts = self.parts(data, data.get("unit", "kg"))
        if not self.errors:
            try:
                self.value = self.build(data, parts)
                made_loads(self.value)
            except EngineError as problem:
                self.add_error(None, str(problem))
        return data

    def read(self, name: str, reader: Callable[..., Any], *args: Any) -> Any:
        """What `reader` makes of the typed text of one field; its complaint goes to that field."""
        if name in self.errors:
            return None
        try:
            return reader(self.cleaned_data.get(name, ""), *args)
        except NotationError as problem:
            self.add_error(name, str(problem))
            return None

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        """The kind's own fields, read."""
        raise NotImplementedError

    def build(self, data: dict[str, Any], parts: dict[str, Any]) -> Any:
        """The engine's value from what was read."""
        raise NotImplementedError

    @classmethod
    def typed(cls, value: Any) -> dict[str, Any]:
        """An engine's value as it would be typed into this form."""
        raise NotImplementedError


class BarbellForm(EquipmentForm):
    """A bar and loose plates."""

    kind = "barbell"
    counted = "How many bars with plates"
    bar = LineField(label="Bar", initial="20", help_text="Its own load without plates.")
    plates = LineField(
        label="Plates",
        required=False,
        help_text="Plate x how many in all: 25x4, 20x4, 10x4, 2.5x4. An odd one out stays unused.",
    )
    collars = LineField(label="Collars", required=False, help_text="The pair together; blank when not counted.")

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        collars = self.read("collars", lambda text: parse_one(text, unit, zero=True) if text.strip() else 0)
        return {
            "bar": self.read("bar", parse_one, unit), "plates": self.read("plates", parse_plates, unit),
            "collars": collars,
        }  # fmt: skip

    def build(self, data: dict[str, Any], parts: dict[str, Any]) -> Any:
        return Barbell(data["name"], data["unit"], **parts)

    @classmethod
    def typed(cls, value: Barbell) -> dict[str, Any]:
        return {
            "name": value.name, "unit": value.unit, "bar": format_load(value.bar),
            "plates": plates_text(value.plates),
            "collars": format_load(value.collars) if value.collars else "",
        }  # fmt: skip


class LoadsForm(EquipmentForm):
    """Equipment that is a list of loads."""

    make: ClassVar[Callable[..., Any]] = Dumbbells
    loads = LineField(label="Loads", help_text=LOADS_HINT)

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        return {"loads": self.read("loads", parse_loads, unit)}

    def build(self, data: dict[str, Any], parts: dict[str, Any]) -> Any:
        return type(self).make(data["name"], data["unit"], parts["loads"])

    @classmethod
    def typed(cls, value: Any) -> dict[str, Any]:
        return {"name": value.name, "unit": value.unit, "loads": loads_text(value.loads)}


class DumbbellsForm(LoadsForm):
    """Dumbbells; a load is that of one hand."""

    kind = "dumbbell"
    counted = "Pairs of each"
    loads = LineField(label="Loads of one dumbbell", help_text=LOADS_HINT)


class FixedBarsForm(LoadsForm):
    """Bars of one load each."""

    kind = "fixed_bar"
    counted = "How many of each bar"
    make = FixedBars


class StackForm(EquipmentForm):
    """A stack with a pin and add-on weights."""

    kind = "stack"
    counted = "How many of each machine"
    pins = LineField(label="Pins", help_text=f"What each pin position lifts. {LOADS_HINT}")
    add_ons = LineField(label="Add-on weights", required=False, help_text="Such as 2.5; 5. Blank when there are none.")

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        add_ons = self.read("add_ons", lambda text: parse_loads(text, unit) if text.strip() else ())
        return {"pins": self.read("pins", parse_loads, unit), "add_ons": add_ons}

    def build(self, data: dict[str, Any], parts: dict[str, Any]) -> Any:
        return Stack(data["name"], data["unit"], **parts)

    @classmethod
    def typed(cls, value: Stack) -> dict[str, Any]:
        return {
            "name": value.name, "unit": value.unit, "pins": loads_text(value.pins),
            "add_ons": loads_text(value.add_ons),
        }  # fmt: skip


class BodyWeightForm(EquipmentForm):
    """Body weight, with what a belt or vest can add and what bands or a machine can take off."""

    kind = "bodyweight"
    counted = ""
    added = LineField(
        label="Belt or vest loads", required=False, help_text=f"Blank for body weight alone. {LOADS_HINT}"
    )

    assistance = LineField(
        label="Assistance",
        required=False,
        help_text=f"What a machine or a measured band takes off. Blank when there is none. {LOADS_HINT}",
    )

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        def loads(text: str) -> tuple[int, ...]:
            return parse_loads(text, unit) if text.strip() else ()

        return {"added": self.read("added", loads), "assistance": self.read("assistance", loads)}

    def build(self, data: dict[str, Any], parts: dict[str, Any]) -> Any:
        return BodyWeight(data["name"], data["unit"], (0, *parts["added"]), parts["assistance"])

    @classmethod
    def typed(cls, value: BodyWeight) -> dict[str, Any]:
        added = loads_text(load for load in value.added if load)
        return {
            "name": value.name, "unit": value.unit, "added": added, "assistance": loads_text(value.assistance),
        }  # fmt: skip


class BandsForm(EquipmentForm):
    """Bands: names, easiest first."""

    kind = "band"
    counted = "How many of each band"
    unit = None  # type: ignore[assignment]
    steps = LineField(label="Bands, easiest first", help_text="Names separated by commas: light, medium, strong.")

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        return {"steps": self.read("steps", parse_bands)}

    def build(self, data: dict[str, Any], parts: dict[str, Any]) -> Any:
        return Ordinal(data["name"], parts["steps"])

    @classmethod
    def typed(cls, value: Ordinal) -> dict[str, Any]:
        return {"name": value.name, "steps": ", ".join(value.steps)}


class MachineForm(BandsForm):
    """A machine without units: its settings by name, easiest first."""

    kind = "machine"
    name = CleanFormField(
        label="Name", max_length=80,
        help_text="Named as an exercise is, such as Leg press, it is what that exercise is done on here.",
    )  # fmt: skip
    steps = LineField(label="Settings, easiest first", help_text="Names separated by commas: pin 1, pin 2, pin 3.")

    def parts(self, data: dict[str, Any], unit: str) -> dict[str, Any]:
        return {"steps": self.read("steps", parse_settings)}


EQUIPMENT_FORMS: dict[str, type[EquipmentForm]] = {
    form.kind: form
    for form in (BarbellForm, DumbbellsForm, StackForm, FixedBarsForm, BodyWeightForm, BandsForm, MachineForm)
}
