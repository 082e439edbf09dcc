"""Kept views of the roster: whose they are, where they lead, and what of them is gone."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.http import QueryDict

from coachdesk.practice.models import Membership
from programs.logs.models import RosterView


def visible_views(desk: Membership) -> QuerySet[RosterView]:
    """Shared views of the practice and one's own; for the owner also those whose coach has left."""
    mine = Q(is_shared=True) | Q(owner=desk)
    if desk.role == Membership.Role.OWNER:
        mine |= Q(owner=None) | Q(owner__left_at__isnull=False)
    rows = RosterView.objects.filter(mine, practice_id=desk.practice_id)
    return rows.select_related("owner__user").order_by("name", "id")


def changeable_views(desk: Membership) -> QuerySet[RosterView]:
    """Views this member may remove: one's own, for the owner of the practice all they see."""
    rows = visible_views(desk)
    if desk.role == Membership.Role.OWNER:
        return rows
    return rows.filter(owner=desk) if desk.can_write else rows.none()


@dataclass(frozen=True)
class ViewLine:
    """One view to choose. `by` says whose it is, '' for one's own; `gone` what it asks for that is no longer here."""

    view: RosterView
    address: str
    by: str
    gone: tuple[str, ...]
    may_remove: bool


def view_lines(desk: Membership, choices: Mapping[str, Iterable[tuple[str, str]]]) -> list[ViewLine]:
    """The views to choose from, by name; `choices` of each field as they are now. One query."""
    known = {name: {value for value, _ in some} for name, some in choices.items()}
    return [_line(view, desk, known) for view in visible_views(desk)]


def _line(view: RosterView, desk: Membership, known: Mapping[str, set[str]]) -> ViewLine:
    address = QueryDict(mutable=True)
    gone = []
    for name, kept in view.filters.items():
        address[name] = kept["value"]
        # A field without choices is one this member cannot use at all; the page says so when it is opened.
        if known.get(name) and kept["value"] not in known[name]:
            gone.append(f"{kept['words'] or kept['value']} {'has left' if name == 'coach' else 'is gone'}")
    mine = view.owner_id == desk.pk
    may = desk.can_write and (mine or desk.role == Membership.Role.OWNER)
    return ViewLine(view, address.urlencode(), "" if mine else _whose(view), tuple(gone), may)


def _whose(view: RosterView) -> str:
    owner = view.owner
    if owner is None or owner.left_at is not None or not owner.user.is_active:
        return f"{view.owner_name or 'a coach'}, who has left"
    return owner.user.name
