"""Reading the exercise library."""

from django.db.models import Q, QuerySet

from coachdesk.practice.models import Membership
from coachdesk.practice.text import fold
from programs.models import Exercise


def visible_exercises(desk: Membership) -> QuerySet[Exercise]:
    """The library and the practice's own exercises."""
    return Exercise.objects.filter(Q(practice=None) | Q(practice_id=desk.practice_id))


def exercise_rows(desk: Membership, *, query: str = "", muscle: str = "", kind: str = "") -> QuerySet[Exercise]:
    """Exercises by name, filtered by words in it, a muscle trained directly, or how they are loaded."""
    rows = visible_exercises(desk)
    for word in fold(query).split():
        rows = rows.filter(folded__contains=word)
    if muscle:
        rows = rows.filter(muscles__muscle=muscle, muscles__share=1000)
    if kind:
        rows = rows.filter(equipment_kind=kind)
    return rows.prefetch_related("muscles", "substitutes__substitute").order_by("folded", "id")


def exercise_choices(desk: Membership) -> list[tuple[int, str]]:
    """(id, name) of every exercise, for a list to choose from."""
    return list(visible_exercises(desk).order_by("folded", "id").values_list("id", "name"))


def exercises_by_name(desk: Membership) -> dict[str, Exercise]:
    """Every exercise under its folded name and its code; the practice's own win over the library's."""
    found: dict[str, Exercise] = {}
    rows = visible_exercises(desk).order_by("practice_id", "id")
    for row in sorted(rows, key=lambda r: r.practice_id is not None):
        found[row.folded] = row
        found[row.code] = row
    return found


def exercise_in(rows: QuerySet[Exercise], text: str) -> tuple[Exercise, str] | str:
    """The exercise that a typed line begins with, and the rest of the line; words that say why there is none.

    A name written out wins, the longest of several; else the words before the first number have to be part of
    the name of one exercise only.
    """
    words = text.split()
    folded = [fold(word).strip(",:;") for word in words]
    names = sorted(((fold(row.name).split(), row) for row in rows), key=lambda one: -len(one[0]))
    whole = next(((row, len(name)) for name, row in names if name == folded[: len(name)]), None)
    if whole:
        return whole[0], " ".join(words[whole[1] :])
    count = next((n for n, word in enumerate(words) if word[0].isdigit() or word[0] == "("), len(words))
    typed = " ".join(words[:count])
    found = [row for name, row in names if all(any(n.startswith(w) for n in name) for w in folded[:count])]
    if len(found) == 1 and count:
        return found[0], " ".join(words[count:])
    if not found or not count:
        return f"No exercise is called {(typed or text)!r}; write its name first, then its scheme."
    likely = sorted(row.name for row in found)[:6] + (["and more"] if len(found) > 6 else [])
    return f"{len(found)} exercises fit {typed!r}: {', '.join(likely)}. Write more of the name."
