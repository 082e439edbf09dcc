"""Which loads can be made near a planned one where the client trains, so that a tap leads to one that exists."""

from collections.abc import Iterable

from clients.mapping import place_equipment
from clients.models import Place
from coachdesk import engine
from programs.logs.selectors.session_page import cell_texts
from programs.mapping import exercise_traits, piece_for
from programs.models import Exercise

EITHER_WAY = 8


def loads_by_exercise(exercises: Iterable[int], place: Place | None) -> dict[int, tuple[int, ...]]:
    """Every load that can be made for each exercise, in thousandths of the equipment's unit; three queries."""
    rows = Exercise.objects.filter(pk__in=set(exercises)).prefetch_related("muscles").order_by("id")
    kit = place_equipment(place)
    found: dict[int, tuple[int, ...]] = {}
    for row in rows:
        piece = piece_for(kit, exercise_traits(row))
        found[row.pk] = engine.makeable(piece) if piece is not None else ()
    return found


def near(loads: tuple[int, ...], load: int | None) -> tuple[str, ...]:
    """Some loads below and above this one, as they are typed; none where no load is planned."""
    if load is None:
        return ()
    below, above = [one for one in loads if one < load], [one for one in loads if one > load]
    return tuple(cell_texts({"load": one})["load"] for one in (*below[-EITHER_WAY:], load, *above[:EITHER_WAY]))
