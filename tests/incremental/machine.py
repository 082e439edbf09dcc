"""Everything that changes what was logged, in any order: beside the desk files, phones, and what stands around it."""

from collections.abc import Callable
from datetime import timedelta
from functools import partial
from typing import Any
from uuid import uuid4

from django.urls import reverse
from hypothesis import strategies as st
from hypothesis.stateful import rule

from clients.models import Client
from clients.services import edit_client
from clients.services.rules import set_rules
from coachdesk import engine
from coachdesk.practice.models import Practice
from programs.calendar.services import enter_absence
from programs.logs.intake.work import work_on
from programs.logs.mapping import sheet_exercises
from programs.logs.models import LogImport
from programs.models import PlannedSession, StrengthObservation
from programs.services import record_test, remove_session, remove_test
from programs.services.exercises import set_scheme
from programs.services.sessions import edit_session
from tests.factories.files import csv, press, upload
from tests.factories.logs import NOON, TUESDAY
from tests.factories.programs import scheme_json
from tests.incremental.desk import Desk
from tests.incremental.steps import BACK, LOADS, REPS, RIR, TWICE, WHICH, WHO


class Machine(Desk):
    """What is read in, said on a phone, and changed around the logs."""

    # Files.

    @rule(both=st.booleans(), who=WHO, back=BACK, lift=st.integers(0, 4), load=LOADS, reps=REPS, rir=RIR,
          sets=st.integers(1, 3), at_once=st.booleans())  # fmt: skip
    def read_in(
        self, both: bool, who: int, back: int, lift: int, load: float, reps: int, rir: str, sets: int, at_once: bool
    ) -> None:
        people = self.world.people if both else [self.world.people[who]]
        day = (TUESDAY - timedelta(days=back)).isoformat()
        lines = [f"{one.name},{day},{self.world.lifts[lift].name},{load:g},{reps},{rir}" for one in people] * sets
        self.files.append(({one.pk for one in people}, csv(*lines)))
        self._read(*self.files[-1], "file", at_once)

    @rule(which=WHICH, at_once=st.booleans())
    def read_in_again(self, which: int, at_once: bool) -> None:
        if self.files:
            self._read(*self.files[which % len(self.files)], "file again", at_once)

    def _read(self, whose: set[int], text: str, name: str, at_once: bool) -> None:
        def read() -> Any:
            seen = upload(self.world.browser, text)
            assert seen.status_code == 200, seen.content.decode()
            return press(self.world.browser, seen)

        answer = self.step(name, whose, read)
        if answer.status_code == 302 and at_once:
            self._finish_imports()

    @rule(which=WHICH, whole=st.booleans())
    def work_on_import(self, which: int, whole: bool) -> None:
        rows = list(LogImport.objects.exclude(waiting=[]).order_by("id"))
        if rows:
            row = rows[which % len(rows)]
            self.step(
                "piece of an import", {piece[0] for piece in row.waiting},
                lambda: self._continued(row) if whole else work_on(log_import=row, now=NOON),
            )  # fmt: skip

    @rule(which=WHICH)
    def undo_import(self, which: int) -> None:
        rows = list(LogImport.objects.filter(act__isnull=False).order_by("id"))
        if rows:
            row = rows[which % len(rows)]
            url = reverse("logs:log_import_undo", args=[row.pk])
            self.step("undo of an import", self.touched_by[row.act_id], lambda: self._post(self.world.browser, url, {}))

    # The phone.

    @rule(who=WHO, which=WHICH, step=WHICH, load=LOADS, reps=REPS, rir=RIR, over=st.booleans(), twice=TWICE)
    def set_on_the_phone(
        self, who: int, which: int, step: int, load: float, reps: int, rir: str, over: bool, twice: bool
    ) -> None:
        sheets = self.sheets_of(who)
        if not sheets:
            return
        sheet = sheets[which % len(sheets)]
        slots = [s.slot for one in sheet_exercises(sheet.body) for s in one.steps]
        data = {"kind": "set", "slot": slots[step % len(slots)], "load": f"{load:g}", "reps": str(reps), "rir": rir,
                "sure": f"{load:g}", "over": "1" if over else ""}  # fmt: skip
        self._say("set on the phone", who, sheet, data, twice)

    @rule(who=WHO, which=WHICH, step=WHICH, kind=st.sampled_from(["clear", "skip", "pain", "rating", "back"]),
          number=st.integers(0, 10), twice=TWICE)  # fmt: skip
    def said_on_the_phone(self, who: int, which: int, step: int, kind: str, number: int, twice: bool) -> None:
        sheets = self.sheets_of(who)
        if not sheets:
            return
        sheet = sheets[which % len(sheets)]
        slots = [s.slot for one in sheet_exercises(sheet.body) for s in one.steps]
        slot = slots[step % len(slots)]
        data = {
            "clear": {"kind": "clear", "slot": slot, "over": "1"},
            "skip": {"kind": "skip", "place": ["", slot, slot.partition("-")[0]][number % 3], "why": "no time"},
            "back": {"kind": "skip", "place": ["", slot, slot.partition("-")[0]][number % 3], "back": "1"},
            "pain": {"kind": "pain", "position": slot.partition("-")[0] if number % 2 else "", "pain": str(number)},
            "rating": {"kind": "rating", "rating": str(number), "minutes": "45"},
        }[kind]
        self._say(f"{kind} on the phone", who, sheet, data, twice)

    def _say(self, name: str, who: int, sheet: Any, data: dict[str, Any], twice: bool) -> None:
        url = reverse("phone:entry_new", args=[sheet.pk])
        browser = self.world.phones[self.world.people[who].pk]
        self.send(name, who, url, data | {"key": uuid4().hex}, twice=twice, browser=browser)

    # What stands around it: plans, sheets, places, rules, tests, days away.

    def planned_of(self, who: int) -> list[PlannedSession]:
        rows = PlannedSession.objects.filter(block__program__client=self.world.people[who])
        return list(rows.select_related("block__program").order_by("id"))

    @rule(who=WHO, sets=st.integers(1, 4))
    def change_the_plan(self, who: int, sets: int) -> None:
        rows = [one for session in self.planned_of(who) for one in session.exercises.order_by("id")]
        if rows:
            scheme = engine.scheme_from_json(scheme_json(sets=str(sets)))
            self.around("changed plan", who, lambda: set_scheme(by=self.world.desk, planned=rows[0], scheme=scheme))

    @rule(who=WHO, away=st.booleans())
    def move_the_plan(self, who: int, away: bool) -> None:
        for row in self.planned_of(who)[:1]:
            self.around(
                "plan at another place", who,
                lambda row=row: edit_session(
                    by=self.world.desk, session=row, version=row.version,
                    values={"place": self.world.home if away else None},
                ),
            )  # fmt: skip

    @rule(who=WHO, often=st.integers(0, 3))
    def remove_the_plan(self, who: int, often: int) -> None:
        for row in self.planned_of(who)[: not often]:
            self.around(
                "plan without the session", who, lambda row=row: remove_session(by=self.world.desk, session=row)
            )  # fmt: skip

    @rule(who=WHO)
    def issue(self, who: int) -> None:
        for row in self.planned_of(who)[:1]:
            url = reverse("programs:sheet_issue", args=[row.pk])
            data = {"why": "Known well."}
            self.around("issued sheet", who, partial(self._post, self.world.browser, url, data))

    @rule(who=WHO, away=st.booleans(), mass=st.sampled_from([80_000, 84_500]), unit=st.sampled_from(["kg", "lb"]))
    def change_the_client(self, who: int, away: bool, mass: int, unit: str) -> None:
        one = Client.objects.get(pk=self.world.people[who].pk)
        place = self.world.home if away else self.world.gym
        self.around(
            "changed client", who,
            lambda: edit_client(
                by=self.world.desk, client=one, version=one.version, now=NOON, place=place, body_mass=mass, unit=unit
            ),
        )  # fmt: skip

    @rule(who=WHO, everyone=st.booleans(), name=st.sampled_from(["hard_set_rir", "pain_hold", "hours_apart"]),
          value=st.sampled_from([2, 3, 5]))  # fmt: skip
    def change_a_rule(self, who: int, everyone: bool, name: str, value: int) -> None:
        desk, one = self.world.desk, Client.objects.get(pk=self.world.people[who].pk)
        of: Client | Practice = Practice.objects.get(pk=desk.practice_id) if everyone else one
        values = {name: 60 + value if name == "hours_apart" else value}
        self.step(
            "changed rule", self.everybody if everyone else {one.pk},
            lambda: set_rules(by=desk, of=of, values=values, now=NOON),
        )  # fmt: skip

    @rule(who=WHO, which=WHICH, load=st.integers(60, 140), remove=st.booleans())
    def test_a_lift(self, who: int, which: int, load: int, remove: bool) -> None:
        one = self.world.people[who]
        tests = list(StrengthObservation.objects.filter(client=one, is_test=True).order_by("id"))
        if remove and tests:
            row = tests[which % len(tests)]
            self.around("removed test", who, lambda: remove_test(by=self.world.desk, observation=row))
        else:
            self.around("test", who, lambda: record_test(
                by=self.world.desk, client=Client.objects.get(pk=one.pk), exercise=self.world.lifts[which % 5],
                load=load * 1000, unit="kg", reps=1 + which % 3, on=TUESDAY - timedelta(days=which),
            ))  # fmt: skip

    @rule(who=WHO, back=BACK)
    def go_away(self, who: int, back: int) -> None:
        first = TUESDAY - timedelta(days=back)
        one = Client.objects.get(pk=self.world.people[who].pk)
        self.around("days away", who, lambda: enter_absence(
            by=self.world.desk, client=one, first_on=first, last_on=first + timedelta(days=2), kind="holiday"
        ))  # fmt: skip

    def around(self, name: str, who: int, act: Callable[[], Any]) -> None:
        self.step(name, {self.world.people[who].pk}, act)

    @rule()
    def look_at_the_roster(self) -> None:
        visible = {one.pk for one in self.world.people}
        answer = self.step("look at the roster", visible, lambda: self.world.browser.get(reverse("logs:roster")))
        assert answer.status_code == 200
