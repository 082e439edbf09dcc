"""Reading rollouts: whose, what they made, and which copies have been changed or used since."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.db import models
from django.db.models import QuerySet

from clients.selectors import visible_clients
from coachdesk.practice.models import Act, Change, Membership
from programs.models import Block, PlannedExercise, PlannedSession, Program, Rollout

INSIDE: dict[type[models.Model], str] = {
    Program: "pk", Block: "program", PlannedSession: "block__program", PlannedExercise: "session__block__program",
}  # fmt: skip
OTHERS = "belongs to a client of another coach now"


def visible_rollouts(desk: Membership) -> QuerySet[Rollout]:
    """One's own; the owner sees all of the practice."""
    rows = Rollout.objects.filter(practice_id=desk.practice_id)
    if desk.role != Membership.Role.OWNER:
        rows = rows.filter(by=desk)
    return rows.select_related("program", "of", "act", "by__user", "by__practice", "practice").defer("of__body")


def copies_of(act: Act) -> QuerySet[Program]:
    """The programmes an act made that there still are, by client."""
    made = act.changes.filter(model=Program._meta.label_lower, before__isnull=True).values("row")
    return Program.objects.filter(pk__in=made).select_related("client").order_by("client__folded", "id")


def kept_copies(act: Act, by: Membership) -> dict[int, str]:
    """Copies of an act that must not be taken back, with the reason: changed, used, or no longer `by`'s to touch."""
    ids = list(copies_of(act).order_by().values_list("pk", flat=True))
    seen = visible_clients(by).order_by().values("pk")
    found = dict.fromkeys(
        Program.objects.filter(pk__in=ids).exclude(client__in=seen).values_list("pk", flat=True), OTHERS
    )
    for pk, words in (*_changed(act, ids), *_used(ids)):
        found.setdefault(pk, words)
    return found


def _changed(act: Act, ids: Sequence[int]) -> Iterator[tuple[int, str]]:
    """Copies with a later act in force on them, or on a row of theirs."""
    later = Change.objects.filter(act_id__gt=act.pk, act__kind=Act.Kind.EDIT, act__is_undone=False)
    subjects = {f"program:{pk}": pk for pk in ids}
    acts = Act.objects.filter(practice=act.practice_id, pk__gt=act.pk, kind=Act.Kind.EDIT, is_undone=False)
    for subject, label in acts.filter(subject__startswith="program:").values_list("subject", "label"):
        if subject in subjects:
            yield subjects[subject], f"changed since: {label}"
    for model, path in INSIDE.items():
        touched = dict(later.filter(model=model._meta.label_lower).values_list("row", "act__label"))
        rows: QuerySet[Any] = model._default_manager.filter(**{f"{path}__in": ids})
        for some in _slices(list(touched)):
            for row, pk in rows.filter(pk__in=some).values_list("pk", path):
                yield pk, f"changed since: {touched[row]}"


def _used(ids: Sequence[int]) -> Iterator[tuple[int, str]]:
    """Copies that a row of another table points at: a sheet issued, a session logged, a flag decided."""
    for model, path in INSIDE.items():
        for relation in model._meta.related_objects:
            if relation.related_model in INSIDE:
                continue
            name = relation.field.name if path == "pk" else f"{relation.field.name}__{path}"
            noun = str(relation.related_model._meta.verbose_name)
            words = f"has {'an' if noun[0] in 'aeiou' else 'a'} {noun} since"
            rows = relation.related_model._default_manager.filter(**{f"{name}__in": ids})
            for pk in rows.values_list(name, flat=True).distinct():
                yield pk, words


def _slices(rows: Sequence[Any], size: int = 500) -> Iterable[Sequence[Any]]:
    return (rows[start : start + size] for start in range(0, len(rows), size))
