"""Three-way merge: what a template changed since a copy was taken, into the copy, keeping what its coach changed."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from coachdesk import engine
from programs.bodies.codec import Body, ExerciseState, SessionState, Values
from programs.bodies.compare import (
    EXERCISE_LABELS,
    SESSION_LABELS,
    Words,
    blocks_words,
    label_of,
    weeks_words,
)
from programs.models import PlannedExercise, PlannedSession

MINE, THEIRS = "mine", "theirs"
Frozen = Callable[[int, int], bool]
Sides = tuple[Any, Any, Any]


@dataclass(frozen=True)
class Clash:
    """One thing that both sides changed otherwise: what it was, what the copy has, what the version has, in words.

    `key` names it in a form; `choice` is 'mine' (the copy's) or 'theirs' (the version's), mine unless chosen.
    """

    key: str
    where: str
    thing: str
    base: str
    mine: str
    theirs: str
    choice: str = MINE


@dataclass(frozen=True)
class Merged:
    """The copy as it would be, and what both sides changed."""

    body: Body
    clashes: tuple[Clash, ...]


def merge_bodies(
    base: Body, mine: Body, theirs: Body, *, choices: Mapping[str, str] | None = None, frozen: Frozen | None = None
) -> Merged:
    """`mine` with what `theirs` changed since `base`; where both changed one thing, as chosen, mine by default.

    Rows meet by uid, columns one by one, schemes field by field. `frozen(week, day)`: sessions past changing stay
    as mine has them. Names are left alone.
    """
    merge = _Merge(base, mine, theirs, choices or {}, frozen or (lambda _week, _day: False))
    return merge.run()


@dataclass
class _Merge:
    base: Body
    mine: Body
    theirs: Body
    choices: Mapping[str, str]
    frozen: Frozen
    clashes: list[Clash] = field(default_factory=list)
    sessions: dict[str, SessionState] = field(default_factory=dict)
    exercises: dict[str, ExerciseState] = field(default_factory=dict)
    still: set[str] = field(default_factory=set)  # past changing
    kept: set[str] = field(default_factory=set)  # taken out by theirs, kept by choice
    back: set[str] = field(default_factory=set)  # taken out by mine, brought back by choice

    def run(self) -> Merged:
        self.words = Words(self.mine, self.theirs, self.base)
        blocks = self._blocks()
        for uid in dict.fromkeys((*self.mine.sessions, *self.theirs.sessions)):
            made = self._session(uid)
            if made is not None:
                self.sessions[uid] = made
        for uid in dict.fromkeys((*self.mine.exercises, *self.theirs.exercises)):
            one = self._exercise(uid)
            if one is not None:
                self.exercises[uid] = one
        body = Body(
            self.mine.name, self._long_enough(blocks), self._in_order(), {}, self.words.exercises, self.words.places
        )
        for uid in body.sessions:
            body.exercises.update((one.uid, one) for one in self._ordered(uid))
        return Merged(body, tuple(self.clashes))

    # what clashes

    def _choose(self, key: str, where: str, thing: str, base: str, mine: str, theirs: str) -> bool:
        """Whether theirs is taken; the clash is listed either way."""
        choice = THEIRS if self.choices.get(key) == THEIRS else MINE
        self.clashes.append(Clash(key, where, thing, base, mine, theirs, choice))
        return choice == THEIRS

    def _value(self, sides: Sides, clash: Callable[[], bool]) -> Any:
        was, mine, theirs = sides
        if theirs in (was, mine):
            return mine
        if mine == was:
            return theirs
        return theirs if clash() else mine

    # blocks

    def _blocks(self) -> tuple[Values, ...]:
        told = [blocks_words(body.blocks) for body in (self.base, self.mine, self.theirs)]
        found: tuple[Values, ...] = self._value(
            (self.base.blocks, self.mine.blocks, self.theirs.blocks),
            lambda: self._choose("blocks", "The whole programme", "blocks", *told),
        )  # fmt: skip
        return found

    def _long_enough(self, blocks: tuple[Values, ...]) -> tuple[Values, ...]:
        """A session that stays keeps its week, whatever became of the programme's length."""
        last = max((one.when[0] for one in self.sessions.values()), default=0)
        *rest, final = sorted(blocks, key=lambda b: b["first_week"])
        if final["first_week"] + final["weeks"] > last:
            return blocks
        return *rest, {**final, "weeks": last - final["first_week"] + 1}

    # sessions

    def _session(self, uid: str) -> SessionState | None:
        was, mine, theirs = (body.sessions.get(uid) for body in (self.base, self.mine, self.theirs))
        there = mine or theirs
        assert there is not None
        if self.frozen(*there.when):
            self.still.add(uid)
            return mine
        if theirs is None:
            return self._taken_out(mine, was) if mine is not None and was is not None else mine
        if mine is None:
            return theirs if was is None else self._taken_out_here(theirs, was)
        return self._both(was or mine, mine, theirs)

    def _taken_out(self, mine: SessionState, was: SessionState) -> SessionState | None:
        if not self._touched(was, mine, self.mine, self.theirs):
            return None
        told = self._inside_words(self.mine, mine)
        if self._choose(f"session:{mine.uid}:gone", self._where(mine), "session", "", told, "taken out"):
            return None
        self.kept.add(mine.uid)
        return mine

    def _taken_out_here(self, theirs: SessionState, was: SessionState) -> SessionState | None:
        if not self._touched(was, theirs, self.theirs, self.mine):
            return None
        told = self._inside_words(self.theirs, theirs)
        if self._choose(f"session:{theirs.uid}:back", self._where(theirs), "session", "", "taken out", told):
            self.back.add(theirs.uid)
            return theirs
        return None

    def _touched(self, was: SessionState, now: SessionState, body: Body, other: Body) -> bool:
        """Whether this side did anything to a session that the other took out."""
        if _content(was.values) != _content(now.values):
            return True
        return any(
            one.uid not in self.base.exercises
            or (one.uid not in other.exercises and _differs(self.base.exercises[one.uid], one))
            for one in body.inside(now.uid)
        )

    def _both(self, was: SessionState, mine: SessionState, theirs: SessionState) -> SessionState:
        values, where = dict(mine.values), self._where(mine)
        when = self._value(
            (was.when, mine.when, theirs.when),
            lambda: self._choose(f"session:{mine.uid}:day", where, "day", *map(_when_words, (was, mine, theirs))),
        )  # fmt: skip
        if when != mine.when:
            values |= {name: theirs.values[name] for name in ("week_no", "day", "position")}
        for name in values:
            if name in ("week_no", "day", "position"):
                continue
            values[name] = self._column(
                f"session:{mine.uid}:{name}", where, label_of(PlannedSession, SESSION_LABELS, name), name,
                (was.values, mine.values, theirs.values),
            )  # fmt: skip
        return SessionState(mine.uid, values)

    def _column(self, key: str, where: str, thing: str, name: str, sides: tuple[Values, Values, Values]) -> Any:
        was, mine, theirs = (one[name] for one in sides)
        told = [self.words.column(name, one) for one in (was, mine, theirs)]
        return self._value((was, mine, theirs), lambda: self._choose(key, where, thing, *told))

    # exercises

    def _exercise(self, uid: str) -> ExerciseState | None:
        was, mine, theirs = (body.exercises.get(uid) for body in (self.base, self.mine, self.theirs))
        if mine is not None and mine.session in self.still:
            return mine
        if theirs is None:
            return self._gone(mine, was) if mine is not None else None
        if mine is None:
            return self._missing(theirs, was)
        return self._merged(was or mine, mine, theirs)

    def _gone(self, mine: ExerciseState, was: ExerciseState | None) -> ExerciseState | None:
        """Theirs has it no more."""
        if mine.session not in self.sessions:
            return None
        if was is None or mine.session in self.kept:
            return mine
        if not _differs(was, mine):
            return None
        told = self.words.scheme(was.values), self.words.whole(mine), "taken out"
        where, name = self._where(self.sessions[mine.session]), self.words.name(mine)
        return None if self._choose(f"exercise:{mine.uid}:gone", where, name, *told) else mine

    def _missing(self, theirs: ExerciseState, was: ExerciseState | None) -> ExerciseState | None:
        """Mine has it no more, or never had it."""
        home = theirs.session
        if home not in self.sessions or home in self.still or home in self.kept:
            return None
        if was is None or home in self.back:
            return theirs
        if not _differs(was, theirs):
            return None
        told = self.words.scheme(was.values), "taken out", self.words.whole(theirs)
        where, name = self._where(self.sessions[home]), self.words.name(theirs)
        return theirs if self._choose(f"exercise:{theirs.uid}:back", where, name, *told) else None

    def _merged(self, was: ExerciseState, mine: ExerciseState, theirs: ExerciseState) -> ExerciseState | None:
        home = self._home(was, mine, theirs)
        if home is None:
            return None
        values, where, name = dict(mine.values), self._where(self.sessions[home]), self.words.name(mine)
        sides = (was.values, mine.values, theirs.values)
        for column in values:
            if column in ("position", "scheme"):
                continue
            thing = f"{name}, {label_of(PlannedExercise, EXERCISE_LABELS, column)}"
            values[column] = self._column(f"exercise:{mine.uid}:{column}", where, thing, column, sides)
        both = merged_scheme(*(one["scheme"] for one in sides))
        values["scheme"] = both or self._column(f"exercise:{mine.uid}:scheme", where, name, "scheme", sides)
        return ExerciseState(mine.uid, home, values)

    def _home(self, was: ExerciseState, mine: ExerciseState, theirs: ExerciseState) -> str | None:
        """The session it is in; where that one is gone, the other side's; None when both are."""
        if theirs.session in self.still or theirs.session not in self.sessions:
            return mine.session if mine.session in self.sessions else None
        if mine.session not in self.sessions:
            return theirs.session
        told = [
            self._where(self.sessions.get(one.session) or body.sessions[one.session])
            for one, body in ((was, self.base), (mine, self.mine), (theirs, self.theirs))
        ]
        key, where = f"exercise:{mine.uid}:session", told[1]
        found: str = self._value(
            (was.session, mine.session, theirs.session),
            lambda: self._choose(key, where, f"{self.words.name(mine)}, session", *told),
        )  # fmt: skip
        return found

    # orders

    def _in_order(self) -> dict[str, SessionState]:
        rows = sorted(self.sessions.values(), key=lambda s: (*s.when, s.values["position"], s.uid))
        return {one.uid: one for one in rows}

    def _ordered(self, session: str) -> list[ExerciseState]:
        """The exercises of a session in the order of the side that changed it."""
        here = {uid: one for uid, one in self.exercises.items() if one.session == session}
        mine, theirs = ([e.uid for e in body.inside(session)] for body in (self.mine, self.theirs))
        order = woven(mine, theirs) if self._mine_leads(session, here, mine, theirs) else woven(theirs, mine)
        found = [here[uid] for uid in order if uid in here]
        found += [one for uid, one in here.items() if uid not in order]
        if [one.uid for one in found] == [uid for uid in mine if uid in here]:
            return found
        return [replace(one, values={**one.values, "position": n}) for n, one in enumerate(found, 1)]

    def _mine_leads(self, session: str, here: Iterable[str], mine: list[str], theirs: list[str]) -> bool:
        was = [e.uid for e in self.base.inside(session)]
        common = set(here) & set(was) & set(mine) & set(theirs)
        three = [[uid for uid in one if uid in common] for one in (was, mine, theirs)]
        if three[2] in (three[0], three[1]):
            return True
        if three[1] == three[0]:
            return False
        told = [", ".join(self.words.name(self.exercises[uid]) for uid in one) for one in three]
        return not self._choose(f"session:{session}:order", self._where(self.sessions[session]), "order", *told)

    # words

    def _where(self, session: SessionState) -> str:
        return f"{weeks_words([session.when[0]])}, {self.words.session(session)}"

    def _inside_words(self, body: Body, session: SessionState) -> str:
        return "; ".join(self.words.whole(one) for one in body.inside(session.uid)) or "no exercises"


def _when_words(one: SessionState) -> str:
    week, day = one.when
    return f"week {week}, {('Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun')[day]}"


def _content(values: Values) -> Values:
    return {name: value for name, value in values.items() if name != "position"}


def _differs(one: ExerciseState, other: ExerciseState) -> bool:
    return one.session != other.session or _content(one.values) != _content(other.values)


def merged_scheme(was: Values, mine: Values, theirs: Values) -> Values | None:
    """Both changes to a scheme where they touch different fields of it; None where they meet or have no fields."""
    if theirs in (was, mine) or mine == was:
        return None
    try:
        flat = [engine.scheme_to_fields(engine.scheme_from_json(one), "kg") for one in (was, mine, theirs)]
        if len({one["kind"] for one in flat}) > 1:
            return None
        made = {}
        for name, old in flat[0].items():
            if flat[1][name] != old and flat[2][name] not in (old, flat[1][name]):
                return None
            made[name] = flat[2][name] if flat[1][name] == old else flat[1][name]
        return engine.scheme_to_json(engine.scheme_from_fields(made, "kg"))
    except engine.EngineError:
        return None


def woven(first: list[str], second: list[str]) -> list[str]:
    """`first` with what only `second` has, each behind what it follows there."""
    made = list(first)
    for n, uid in enumerate(second):
        if uid in made:
            continue
        before = next((made.index(one) for one in reversed(second[:n]) if one in made), -1)
        made.insert(before + 1, uid)
    return made
