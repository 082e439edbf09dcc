"""A progression as asked for in a form, turned into what the engine fills in and into its preview."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from itertools import groupby
from typing import Any

from clients.models import Client
from coachdesk import engine
from programs.arrange.kinds import Ask, Made, filled
from programs.arrange.lines import engine_lines, in_scope, lines_of
from programs.arrange.preview import Preview, Wanted, preview_of
from programs.models import StrengthObservation
from programs.selectors.context import facts_of
from programs.selectors.prescription import ProgramView

LAST_SESSIONS = 2
LABELS = {
    "volume": "Fill sets", "load": "Fill loads", "reps": "Fill reps", "double": "Fill reps, then load",
    "goal": "Fill the rep goal", "lighter": "Fill lighter weeks", "layoff": "Fill the return after time away",
}  # fmt: skip


def progression(view: ProgramView, asked: Mapping[str, Any], *, on: date) -> tuple[Preview, str]:
    """The preview of a progression and the words of its act. `asked`: the form's cleaned data.

    A kind that writes a cue keeps what stands in the cue already when there is one.
    """
    ask, notes = _ask(view, asked, on)
    lines = lines_of(view)
    keys = in_scope(lines, asked["scope"], planned=asked["planned"], muscle=ask.muscle)
    of_muscle = ask.kind == "volume" and ask.muscle
    used = lines if of_muscle else {key: lines[key] for key in keys}
    last = _last_sets(view.client) if ask.kind == "goal" and view.client else {}
    outcome = filled(engine_lines(view, used, last), ask)
    cues = {one.pk: one.view.row.cue for cells in lines.values() for one in cells}
    wanted = {pk: _wanted(made, cues[pk]) for pk, made in outcome.items() if made.scheme is not None}
    left = {pk: made.left for pk, made in outcome.items() if made.left}
    label = f"{LABELS[ask.kind]}, weeks {ask.first} to {ask.last}: {_whose(view, asked)}"
    return preview_of(view, wanted, left, on=on, notes=notes), label


def _wanted(made: Made, cue: str) -> Wanted:
    return Wanted(scheme=made.scheme, cue=made.cue if made.cue and not cue else None)


def _whose(view: ProgramView, asked: Mapping[str, Any]) -> str:
    one = view.exercise(asked["planned"]) if asked["planned"] else None
    scope = asked["scope"]
    if scope == "muscle":
        return engine.muscle(asked["muscle"]).name.lower()
    if scope == "session" and one is not None:
        return one.row.session.name
    return one.row.exercise.name if one is not None and scope != "program" else "every exercise"


def _ask(view: ProgramView, asked: Mapping[str, Any], on: date) -> tuple[Ask, list[str]]:
    muscle = asked["muscle"] if asked["scope"] == "muscle" else ""
    ask = Ask(
        kind=asked["kind"], first=asked["from_week"], last=asked["to_week"], level=view.traits.level,
        rules=view.rules, share=(asked["share"] or 100) / 100, raise_by=(asked["raise_by"] or 0) / 100,
        every=asked["every"] or 1, amount=asked["amount"], unit=asked["unit"] or "kg", reps=asked["reps"] or (),
        goal=asked["goal"] or (8, 10), days_away=asked["days_away"] or 0, muscle=muscle,
    )  # fmt: skip
    if not (asked["habit"] and muscle and ask.kind == "volume"):
        return ask, []
    return _from_habit(ask, view.client, on, typed=asked["share"])


def habit_of(client: Client, on: date, rules: engine.Rules) -> engine.Habit | None:
    """The client's habit as of a day, from the facts of the logs; None below two whole weeks."""
    weeks = facts_of([client.pk]).get(client.pk, {}).get("weeks") or {}
    done = {date.fromisoformat(monday).toordinal() // 7: sets for monday, sets in weeks.items()}
    return engine.habit(done, on.toordinal() // 7, rules)


def _from_habit(ask: Ask, client: Client | None, on: date, typed: float | None) -> tuple[Ask, list[str]]:
    known = habit_of(client, on, ask.rules) if client else None
    name = engine.muscle(ask.muscle).name.lower()
    if client is None or known is None:
        who = client.name if client else "no client is chosen, so it"
        return ask, [f"The habit for {name} is not known: {who} has fewer than two whole weeks in the log. "
                     "The weeks start from what is planned."]  # fmt: skip
    habit = known.of(ask.muscle)
    since = client.training_since_on
    proposed = engine.starting_sets(
        habit, days_away=days_away(client, on), weeks_trained=(on - since).days // 7 if since else None,
        adherence=None, rules=ask.rules,
    )  # fmt: skip
    notes = [f"The habit for {name} is {habit:g} sets a week over {known.weeks} weeks."]
    start = proposed.value if typed is None else habit * typed / 100
    if typed is not None:
        notes.append(f"The weeks start at {typed:g} % of it, {start:g} sets.")
    return replace(ask, start=start), [*notes, f"The desk's own proposal: {engine.sentence(proposed.because)}"]


def days_away(client: Client, on: date) -> int:
    """Whole days since the last session with sets; 0 when nothing was logged."""
    last = facts_of([client.pk]).get(client.pk, {}).get("last_on")
    return max(0, (on - date.fromisoformat(last)).days) if last else 0


def _last_sets(client: Client) -> dict[int, tuple[int, ...]]:
    """Reps of the last set of each exercise's latest sessions, oldest first; one query."""
    rows = StrengthObservation.objects.filter(client=client, source_uid__isnull=False)
    rows = rows.order_by("exercise_id", "on", "source_uid", "id")
    found: dict[int, tuple[int, ...]] = {}
    for (exercise_id, _, _), sets in groupby(rows, lambda row: (row.exercise_id, row.on, row.source_uid)):
        found[exercise_id] = (*found.get(exercise_id, ()), list(sets)[-1].reps)[-LAST_SESSIONS:]
    return found
