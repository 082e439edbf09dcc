"""Answering a stale edit: what I typed, what is saved now, and the form ready to decide."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django import forms
from django.db import models

from clients.services.stale import StaleForm
from coachdesk.engine import format_load


@dataclass(frozen=True)
class Clash:
    """One field that both changed, in words for the screen."""

    field: str
    label: str
    mine: str
    theirs: str


def form_name(form: forms.BaseForm, column: str) -> str:
    """The form's name of a column: 'place_id' is the field 'place'."""
    return column if column in form.fields else column.removesuffix("_id")


def clashes(form: forms.BaseForm, stale: StaleForm) -> list[Clash]:
    """The conflicts with their labels, choices shown by their words."""
    found = []
    for conflict in stale.conflicts:
        name = form_name(form, conflict.field)
        if name not in form.fields:  # a unit goes with its number
            continue
        field = form.fields[name]
        found.append(Clash(name, str(field.label), _words(field, conflict.mine), _words(field, conflict.theirs)))
    return found


def _words(field: forms.Field, value: Any) -> str:
    if value in (None, ""):
        return "nothing"
    if isinstance(field, forms.ModelChoiceField):
        row = field.queryset.filter(pk=value).first() if field.queryset is not None else None
        return field.label_from_instance(row) if isinstance(row, models.Model) else "something no longer there"
    if isinstance(field, forms.ChoiceField):
        return str(dict(field.choices).get(value, value))  # type: ignore[arg-type]
    if isinstance(value, int) and getattr(field, "thousandths", False):
        return format_load(value)
    return str(value)


def merged_data(form: forms.BaseForm, posted: Mapping[str, Any], stale: StaleForm) -> dict[str, Any]:
    """The form's next data: mine where we clash, what merges elsewhere, and the version now saved."""
    data: dict[str, Any] = {name: posted[name] for name in form.fields if name in posted}
    for column, value in stale.merged.items():
        data[form_name(form, column)] = "" if value is None else str(value)
    if hasattr(form, "from_columns"):
        data.update(form.from_columns(stale.merged))
    if "version" in form.fields:
        data["version"] = str(getattr(stale.row, "version", ""))
    return data


def taken(posted: Any, fields: Mapping[str, Any]) -> dict[str, Any]:
    """The typed fields without those where the other's value was chosen ('take' names them)."""
    theirs = set(posted.getlist("take"))
    theirs |= {f"{name}_unit" for name in theirs}
    return {name: value for name, value in fields.items() if name not in theirs}
