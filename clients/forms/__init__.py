"""Binding what a person types about clients and places."""

from clients.forms.client import ClientForm
from clients.forms.equipment import EQUIPMENT_FORMS, EquipmentForm
from clients.forms.place import PlaceForm, PlaceNameForm
from clients.forms.rules import RuleForm
from clients.forms.standing import EndPrecautionForm, MusclesForm, PrecautionForm, ScreeningForm

__all__ = [
    "EQUIPMENT_FORMS", "ClientForm", "EndPrecautionForm", "EquipmentForm", "MusclesForm", "PlaceForm",
    "PlaceNameForm", "PrecautionForm", "RuleForm", "ScreeningForm",
]  # fmt: skip
