"""Reading what is to be done with the clients ticked on the roster."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django import forms

from clients.models import Client
from clients.services.many import ManyChange
from clients.staff.forms import EACH, NoteField
from coachdesk.practice.models import Membership

Choices = list[tuple[str, list[tuple[str, str]]]]
SHEETS = "sheets"


def act_choices(desk: Membership, coaches: Sequence[Membership]) -> Choices:
    """What may be done, in groups: (group, [(value, words)])."""
    over = [(f"coach:{one.pk}", f"Hand over to {one.user.name}") for one in coaches]
    found: Choices = [
        ("Goal", [(f"goal:{value}", f"Set the goal to {words}") for value, words in Client.Goal.choices]),
        ("Other", [("archive", "Archive"), (SHEETS, "Sheets as PDF")]),
    ]
    return [("Coach", over), *found] if over and desk.role == Membership.Role.OWNER else found


class NoteForm(forms.Form):
    """What goes with a change once it has been looked at: a note, where clients are handed over."""

    note = NoteField(help_text=EACH)


@dataclass(frozen=True)
class Asked:
    """What was asked for: 'sheets', a change, or neither; the clients by id with the version that was seen, or None."""

    do: str
    change: ManyChange | None
    ids: tuple[int, ...]
    seen: Mapping[int, int]


def read_act(do: str, ticked: Sequence[str], coaches: Sequence[Membership]) -> Asked:
    """`ticked`: ids as '12', or with the version that was looked at as '12-3'; what is neither is left out."""
    kind, _, value = do[:40].partition(":")
    change = None
    if kind == "coach":
        coach = next((one for one in coaches if str(one.pk) == value), None)
        change = ManyChange("coach", coach) if coach else None
    elif kind == "goal" and value in Client.Goal.values:
        change = ManyChange("goal", value)
    elif do == "archive":
        change = ManyChange("archive")
    pairs = [_pair(one) for one in ticked]
    known = dict(pair for pair in pairs if pair)
    return Asked(do if change or do == SHEETS else "", change, tuple(known), known)


def _pair(text: str) -> tuple[int, int] | None:
    pk, _, version = text.partition("-")
    if not all(part.isascii() and part.isdigit() and len(part) < 19 for part in (pk, version or "0")):
        return None
    return int(pk), int(version or 0)
