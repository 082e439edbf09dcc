"""Random programmes of many shapes for checking the columns against the objects; the same seed, the same roster."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace

from coachdesk.engine import (
    SCHEMES,
    Barbell,
    BodyWeight,
    ClientTraits,
    Dumbbells,
    ExercisePlan,
    ExerciseTraits,
    LoadRule,
    Ordinal,
    RepRule,
    Scheme,
    SessionPlan,
    Stack,
    StepRule,
)
from tests.engine.cast import BAR, BENCH, CURL, DEADLIFT, DUMBBELLS, PRESS, PULLDOWN, ROW, SQUAT, STACK, strength

LB_BAR = Barbell("lb bar", "lb", 45000, tuple((int(p * 1000), 4) for p in (45, 25, 10, 5, 2.5)))
WIDE = Dumbbells("wide", "kg", (4000, 7000, 12000, 20000, 35000))
ODD = Stack("odd", "kg", (7300, 14100, 20900, 27700, 34500, 41300), (1100, 2300))
BELT = BodyWeight("belt", "kg", (1250, 2500, 5000, 10000, 20000))
HELPED = BodyWeight("helped", "kg", (5000, 10000), (10000, 20000, 40000, 70000))
ONE_ARM = ExerciseTraits("one", "One-arm row", (("lats", 1.0), ("biceps", 0.5)), "dumbbell", limbs="one")
LEG_PRESS = ExerciseTraits("leg", "Leg press", (("quads", 1.0),), "stack", endurance=1.6, pattern="squat")
LUNGE = ExerciseTraits("lunge", "Lunge", (("quads", 1.0), ("glutes", 1.0)), "dumbbell", 2, endurance=1.3)
DIP = ExerciseTraits("dip", "Dip", (("chest", 1.0), ("triceps", 1.0)), "bodyweight", body_share=1.0)
BAND = ExerciseTraits("band", "Pull-apart", (("rear_delts", 1.0),), "band")
BANDS = Ordinal("bands", ("red", "blue"))
PLANK = ExerciseTraits("plank", "Plank", (("abs", 1.0),), "bodyweight")
CHOICES = (
    (BENCH, (BAR, LB_BAR, None)), (SQUAT, (BAR, LB_BAR)), (DEADLIFT, (BAR,)), (ROW, (BAR, None)), (PRESS, (BAR,)),
    (CURL, (DUMBBELLS, WIDE)), (PULLDOWN, (STACK, ODD)), (ONE_ARM, (DUMBBELLS, WIDE)), (LEG_PRESS, (STACK, ODD)),
    (LUNGE, (DUMBBELLS,)), (DIP, (BELT, HELPED, None)), (BAND, (BANDS, None)), (PLANK, (None,)),
)  # fmt: skip
KINDS = tuple(kind for kind in SCHEMES if kind not in ("straight", "drop_set", "quota", "series"))
MUSCLES = ("chest", "lats", "quads", "biceps", "triceps", "abs")


class Maker:
    """Makes clients and their sessions from one seed."""

    def __init__(self, seed: int) -> None:
        self.pick = random.Random(seed)
        self.keys = 0

    def client(self) -> ClientTraits:
        """Any level, age, goal, marks; body mass mostly known."""
        pick = self.pick
        marks = tuple((code, pick.choice(("grow", "hold", "rehab"))) for code in MUSCLES if pick.random() < 0.3)
        return ClientTraits(
            pick.choice(("novice", "intermediate", "advanced")), pick.choice((None, 30, 65)),
            pick.choice(("size", "strength", "health", "rehab")), pick.random() < 0.2,
            pick.choice(("ok", "ok", "missing", "expired")), marks, None, pick.choice((None, 62.5, 80.0)),
            pick.choice((1.0, 1.0, 0.7, 1.4)),
        )  # fmt: skip

    def sessions(self, weeks: int, days: int, exercises: int) -> list[SessionPlan]:
        """Some days of every week, each with up to so many exercises."""
        made = []
        for week in range(weeks):
            for day in sorted(self.pick.sample(range(7), days)):
                count = self.pick.randint(1, exercises)
                group = "A" if self.pick.random() < 0.3 else ""
                plans = tuple(self.exercise(group if self.pick.random() < 0.5 else "") for _ in range(count))
                self.keys += 1
                made.append(SessionPlan(self.keys, 7 * week + day, f"Day {day}", plans))
        return made

    def exercise(self, group: str = "") -> ExercisePlan:
        """One of many exercises on equipment that suits it, its maximum mostly known."""
        pick = self.pick
        traits, racks = pick.choice(CHOICES)
        kg = pick.uniform(15, 60) if traits in (CURL, ONE_ARM, LUNGE) else pick.uniform(30, 220)
        known = strength(kg, pick.choice((0.02, 0.06))) if pick.random() < 0.9 else None
        side = pick.choice("lrb") if traits is ONE_ARM else "b"
        scheme = self.scheme(side, traits is not BAND)
        self.keys += 1
        return ExercisePlan(self.keys, traits, scheme, known, pick.choice(racks), group)

    def scheme(self, side: str, places: bool, depth: int = 0) -> Scheme:
        """Any kind but a quota, or a series of them; `places`: loads may go by places along the rack."""
        pick = self.pick
        kind = pick.choice(("straight", "straight", "drop_set", "drop_set", *KINDS, "series"))
        rest = float(pick.choice((0, 20, 60, 90, 180, 300)))
        if kind == "series":
            if depth:
                kind = "straight"
            else:
                parts = tuple(self.scheme(side, places, 1) for _ in range(pick.randint(1, 3)))
                return Scheme("series", 1, parts=parts, rest_s=rest)
        own = ("percent", "percent", "rep_max", "fixed", *(("place",) if places else ()))
        later = [one for one in SCHEMES[kind].later if places or "place" not in one]
        first, sets = self.step(side, (*own, "effort", "effort")), pick.randint(1, 4)
        if kind == "open_last":
            return Scheme(kind, sets, replace(first, reps=RepRule("reps", 5, 5), rir=2.0), rest_s=rest)
        if kind == "straight":
            return Scheme(kind, sets, first, rest_s=rest)
        further = tuple(self.step(side, later or own) for _ in range(pick.randint(1, 4)))
        if "ladder" in SCHEMES[kind].fields:
            return Scheme(kind, len(further) + 1, ladder=(first, *further), rest_s=rest)
        return Scheme(kind, sets, first, drops=further, rest_s=rest)

    def step(self, side: str, kinds: Sequence[str]) -> StepRule:
        """One step whose load is of one of the kinds."""
        pick = self.pick
        kind = pick.choice(kinds)
        reps = self.reps(kind)
        rir = None if reps.kind == "failure" else pick.choice((None, 0.0, 1.0, 2.0, 3.0, 0.5))
        if kind == "effort" and rir is None:
            rir = 2.0
        hold = pick.choice(("load", "load", "load", "rir", "range"))
        return StepRule(self.load(kind), reps, rir, float(pick.choice((0, 0, 10, 20))), side, hold)

    def load(self, kind: str) -> LoadRule:
        """A load of this kind."""
        pick = self.pick
        value = {
            "percent": lambda: pick.uniform(20, 100), "rep_max": lambda: pick.randint(1, 30),
            "fixed": lambda: pick.randrange(-30000, 150000, 500), "drop_percent": lambda: pick.choice((10, 20, 25, 50)),
            "drop_places": lambda: pick.randint(1, 4), "effort": lambda: None, "place": lambda: pick.randint(1, 20),
            "same": lambda: None, "rise_percent": lambda: pick.choice((5, 10, 30)),
            "rise_places": lambda: pick.randint(1, 3),
        }[kind]()  # fmt: skip
        return LoadRule(kind, value, pick.choice(("kg", "lb")) if kind == "fixed" else "")

    def reps(self, kind: str) -> RepRule:
        """Reps, a range, at least so many, to failure, rarely seconds or metres."""
        pick = self.pick
        low, chance = pick.randint(1, 15), pick.random()
        if chance < 0.06:
            return RepRule(pick.choice(("seconds", "metres")), 30, 30)
        if kind != "effort" and chance < 0.35:
            return RepRule("failure")
        if chance < 0.42:
            return RepRule("at_least", low, low)
        if chance < 0.7:
            return RepRule("range", low, low + pick.randint(0, 4))
        return RepRule("reps", low, low)
