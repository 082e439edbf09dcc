"""What is different between two programmes, in the coach's words: which week, which session, before and after."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from coachdesk import engine
from programs.bodies.codec import Body, ExerciseState, SessionState, Values
from programs.models import PlannedExercise, PlannedSession

DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
# What a session's column is called; a column without a name of its own here takes its model's.
SESSION_LABELS = {"name": "name", "place_id": "place", "note": "note on the sheet"}
EXERCISE_LABELS = {"exercise_id": "exercise", "group": "superset", "cue": "cue", "private_note": "private note"}
# Told in one line with something else, or not at all: places in an order are told as an order.
SESSION_APART, EXERCISE_APART = {"week_no", "day", "position"}, {"exercise_id", "scheme", "position"}


@dataclass(frozen=True)
class Difference:
    """One thing that differs; alike in several weeks it is told once, with all of them in `weeks`.

    `kind`: added, removed, changed or moved. `where`: 'Mon Upper A', empty for the programme as a whole. `what`:
    the exercise, empty for the session itself. `label`: which part of it, empty for the sets and loads.
    """

    kind: str
    weeks: tuple[int, ...]
    where: str
    what: str
    label: str
    before: str
    after: str

    @property
    def place_words(self) -> str:
        """'Weeks 3 to 6, Mon Upper A'; 'The whole programme'."""
        return ", ".join(part for part in (weeks_words(self.weeks), self.where) if part) or "The whole programme"

    @property
    def thing(self) -> str:
        """'Bench press', 'Bench press, cue', 'note on the sheet', 'session'."""
        return ", ".join(part for part in (self.what, self.label) if part) or "session"

    @property
    def words(self) -> str:
        """'Week 3, Mon Upper A: Bench press 4 x 6-8 @ 75 % -> 5 x 6-8 @ 77.5 %'."""
        if self.kind == "added":
            told = f"{self.thing} added: {self.after}" if self.after else f"{self.thing} added"
        elif self.kind == "removed":
            told = f"{self.thing} taken out"
        else:
            change = f"{self.before or 'nothing'} -> {self.after or 'nothing'}"
            told = change if self.label == "swapped" else f"{self.thing} {change}"
        return f"{self.place_words}: {told}"


def weeks_words(weeks: Iterable[int]) -> str:
    """'Week 3', 'Weeks 3 to 6', 'Weeks 1, 3 to 5 and 8'."""
    runs: list[list[int]] = []
    for week in sorted(set(weeks)):
        if runs and week == runs[-1][-1] + 1:
            runs[-1].append(week)
        else:
            runs.append([week])
    parts = []
    for run in runs:
        parts += [f"{run[0]} to {run[-1]}"] if len(run) > 2 else [str(week) for week in run]
    if not parts:
        return ""
    listed = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"
    return f"{'Week' if parts == [str(runs[0][0])] else 'Weeks'} {listed}"


def blocks_words(blocks: Iterable[Values]) -> str:
    """'Base, weeks 1 to 4; Peak, week 5'."""
    parts = []
    for block in sorted(blocks, key=lambda b: b["first_week"]):
        words = weeks_words(range(block["first_week"], block["first_week"] + block["weeks"]))
        parts.append(f"{block['name']}, {words[0].lower()}{words[1:]}")
    return "; ".join(parts)


class Words:
    """Names and sentences for what stands in either of several programmes."""

    def __init__(self, *bodies: Body) -> None:
        self.exercises: dict[int, str] = {}
        self.places: dict[int, str] = {}
        for body in reversed(bodies):
            self.exercises |= body.exercise_names
            self.places |= body.place_names

    def name(self, one: ExerciseState) -> str:
        return self.column("exercise_id", one.values["exercise_id"])

    def scheme(self, values: Mapping[str, Any]) -> str:
        return self.column("scheme", values["scheme"])

    def whole(self, one: ExerciseState) -> str:
        """'Bench press 4 x 6-8 @ 75 %'."""
        return f"{self.name(one)} {self.scheme(one.values)}"

    def column(self, name: str, value: Any) -> str:
        """A column's value as it reads on the page; '' for nothing."""
        if name == "exercise_id":
            return self.exercises.get(value, "an exercise that is gone")
        if name == "scheme":
            return engine.scheme_words(engine.scheme_from_json(value))
        if value in (None, ""):
            return "the client's own" if name == "place_id" else "on its own" if name == "group" else ""
        if name == "place_id":
            return self.places.get(value, "a place that is gone")
        return f"superset {value}" if name == "group" else str(value)

    @staticmethod
    def session(one: SessionState) -> str:
        """'Mon Upper A'."""
        return f"{DAYS[one.values['day']]} {one.values['name']}"


def label_of(model: Any, labels: Mapping[str, str], name: str) -> str:
    """What a column is called."""
    return labels.get(name) or next(str(f.verbose_name) for f in model._meta.concrete_fields if f.attname == name)


def differences(before: Body, after: Body, *, named: bool = True) -> list[Difference]:
    """Everything that differs, in the order of the programme. `named`: the programme's own name too."""
    words = Words(after, before)
    found: list[Difference] = []
    if named and before.name != after.name:
        found.append(Difference("changed", (), "", "", "name", before.name, after.name))
    if (was := blocks_words(before.blocks)) != (now := blocks_words(after.blocks)):
        found.append(Difference("changed", (), "", "", "blocks", was, now))
    rest = [*_sessions(before, after, words), *_exercises(before, after, words), *_orders(before, after, words)]
    # Stable: within a session as found, its own columns first.
    return found + _together(sorted(rest, key=lambda pair: pair[0]))


Placed = tuple[tuple[int, int, int, str], Difference]


def _at(session: SessionState) -> tuple[int, int, int, str]:
    return *session.when, session.values["position"], session.uid


def _sessions(before: Body, after: Body, words: Words) -> Iterator[Placed]:
    for uid in dict.fromkeys((*before.sessions, *after.sessions)):
        was, now = before.sessions.get(uid), after.sessions.get(uid)
        one = now or was
        assert one is not None
        weeks, where = (one.when[0],), words.session(one)
        if was is None or now is None:
            kind, body = ("added", after) if was is None else ("removed", before)
            told = "; ".join(words.whole(e) for e in body.inside(uid))
            yield _at(one), Difference(kind, weeks, where, "", "", *(("", told) if was is None else (told, "")))
        else:
            yield from ((_at(now), made) for made in _session(was, now, words))


def _session(was: SessionState, now: SessionState, words: Words) -> Iterator[Difference]:
    weeks, where = (now.when[0],), words.session(now)
    if was.when != now.when:
        apart = was.when[0] != now.when[0]
        told = [f"week {s.when[0]}, {DAYS[s.when[1]]}" if apart else DAYS[s.when[1]] for s in (was, now)]
        yield Difference("moved", weeks, where, "", "day", *told)
    for name, value in now.values.items():
        if name not in SESSION_APART and was.values[name] != value:
            label = label_of(PlannedSession, SESSION_LABELS, name)
            told = [words.column(name, s.values[name]) for s in (was, now)]
            yield Difference("changed", weeks, where, "", label, *told)


def _exercises(before: Body, after: Body, words: Words) -> Iterator[Placed]:
    for uid in dict.fromkeys((*before.exercises, *after.exercises)):
        was, now = before.exercises.get(uid), after.exercises.get(uid)
        if now is None and was is not None:
            # Gone with its session is told by the session.
            if was.session in after.sessions:
                session = after.sessions[was.session]
                yield _at(session), _removed(was, session, words)
        elif was is None and now is not None:
            if now.session in before.sessions:
                session = after.sessions[now.session]
                weeks, where = (session.when[0],), words.session(session)
                yield _at(session), Difference("added", weeks, where, words.name(now), "", "", words.scheme(now.values))
        elif was is not None and now is not None:
            session = after.sessions[now.session]
            there = before.sessions[was.session]
            yield from ((_at(session), made) for made in exercise_differences(was, now, there, session, words))


def _removed(was: ExerciseState, session: SessionState, words: Words) -> Difference:
    where = words.session(session)
    return Difference("removed", (session.when[0],), where, words.name(was), "", words.scheme(was.values), "")


def exercise_differences(
    was: ExerciseState, now: ExerciseState, there: SessionState, session: SessionState, words: Words
) -> Iterator[Difference]:
    """How one planned exercise differs; `there` was its session, `session` is."""
    weeks, where, name = (session.when[0],), words.session(session), words.name(now)
    if was.session != now.session:
        apart = there.when[0] != session.when[0]
        told = [f"week {s.when[0]}, {words.session(s)}" if apart else words.session(s) for s in (there, session)]
        yield Difference("moved", weeks, where, name, "session", *told)
    if was.values["exercise_id"] != now.values["exercise_id"]:
        yield Difference("changed", weeks, where, words.name(was), "swapped", words.whole(was), words.whole(now))
    elif was.values["scheme"] != now.values["scheme"]:
        told = [words.scheme(e.values) for e in (was, now)]
        yield Difference("changed", weeks, where, name, "", *told)
    for column, value in now.values.items():
        if column not in EXERCISE_APART and was.values[column] != value:
            label = label_of(PlannedExercise, EXERCISE_LABELS, column)
            told = [words.column(column, e.values[column]) for e in (was, now)]
            yield Difference("changed", weeks, where, name, label, *told)


def _orders(before: Body, after: Body, words: Words) -> Iterator[Placed]:
    for uid, session in after.sessions.items():
        if uid not in before.sessions:
            continue
        was, now = before.inside(uid), after.inside(uid)
        both = {e.uid for e in was} & {e.uid for e in now}
        one, other = ([e for e in rows if e.uid in both] for rows in (was, now))
        if [e.uid for e in one] != [e.uid for e in other]:
            told = [", ".join(words.name(e) for e in rows) for rows in (one, other)]
            yield _at(session), Difference("changed", (session.when[0],), words.session(session), "", "order", *told)


def _together(found: Iterable[Placed]) -> list[Difference]:
    """The same thing in several weeks told once, where it first stands."""
    told: dict[Difference, list[int]] = {}
    for _, one in found:
        told.setdefault(replace(one, weeks=()), []).extend(one.weeks)
    return [replace(one, weeks=tuple(sorted(set(weeks)))) for one, weeks in told.items()]
