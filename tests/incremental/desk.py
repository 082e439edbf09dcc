"""Sessions and sets as they are typed on the desk, sent again, and taken back."""

from datetime import timedelta
from typing import Any
from uuid import uuid4

from django.test import Client as Browser
from django.urls import reverse
from hypothesis import strategies as st
from hypothesis.stateful import rule

from coachdesk.practice.models import Act
from programs.logs.mapping import sheet_exercises
from programs.logs.models import SessionLog
from programs.models import PainReport
from tests.factories.logs import TUESDAY
from tests.incremental.rows import writes_watched
from tests.incremental.steps import ANSWERED, BACK, LOADS, REPS, RIR, TWICE, WHICH, WHO, Steps


class Desk(Steps):
    """What a coach does."""

    # Sessions and sets on the desk.

    @rule(who=WHO, which=WHICH, skip=st.integers(1, 3), reps=REPS, rir=RIR, back=BACK, again=st.booleans(), twice=TWICE)
    def log_session(
        self, who: int, which: int, skip: int, reps: int, rir: str, back: int, again: bool, twice: bool
    ) -> None:
        sheets = self.sheets_of(who)
        if not sheets:
            return
        sheet = sheets[which % len(sheets)]
        page = self.world.browser.get(reverse("logs:session_log", args=[sheet.pk]) + ("?again" if again else ""))
        key = page.context["form"].initial["key"]
        data = {"key": str(key), "done_on": (TUESDAY - timedelta(days=back)).isoformat(), "minutes": "50"}
        steps = [step for one in sheet_exercises(sheet.body) for step in one.steps]
        for n, step in enumerate(steps[::skip]):
            data |= {f"reps-{step.slot}": str(reps if n % 2 else max(1, reps - 2)), f"rir-{step.slot}": rir}
        self.send("session", who, reverse("logs:session_log", args=[sheet.pk]), data, twice=twice)

    @rule(who=WHO, which=WHICH, step=WHICH, load=LOADS, reps=REPS, rir=RIR, twice=TWICE)
    def log_set(self, who: int, which: int, step: int, load: float, reps: int, rir: str, twice: bool) -> None:
        logs = [log for log in self.logs_of(who) if log.sheet]
        if not logs:
            return
        log = logs[which % len(logs)]
        slots = [s.slot for one in sheet_exercises(log.sheet.body) for s in one.steps]
        data = {
            "slot": slots[step % len(slots)], "load": f"{load:g}", "reps": str(reps), "rir": rir, "sure": f"{load:g}"
        }  # fmt: skip
        with writes_watched(self.world.people[who].pk) as wrote:
            self.send("set", who, reverse("logs:set_log", args=[log.pk]), data, twice=twice)
        self.checks["writing statements looked at"] += len(wrote)

    @rule(who=WHO, which=WHICH, load=LOADS, reps=REPS, rir=RIR, stale=st.booleans(), twice=TWICE)
    def edit_set(self, who: int, which: int, load: float, reps: int, rir: str, stale: bool, twice: bool) -> None:
        sets = self.sets_of(who)
        if not sets:
            return
        row = sets[which % len(sets)]
        version = max(1, row.version - stale)
        data = {"load": f"{load:g}", "reps": str(reps), "rir": rir, "sure": f"{load:g}", "version": str(version)}
        with writes_watched(self.world.people[who].pk) as wrote:
            self.send("corrected set", who, reverse("logs:set_edit", args=[row.pk]), data, twice=twice)
        self.checks["writing statements looked at"] += len(wrote)

    @rule(who=WHO, which=WHICH, twice=TWICE)
    def remove_set(self, who: int, which: int, twice: bool) -> None:
        sets = self.sets_of(who)
        if not sets:
            return
        row = sets[which % len(sets)]
        data = {"load": "", "reps": "", "rir": "", "version": str(row.version)}
        with writes_watched(self.world.people[who].pk) as wrote:
            self.send("removed set", who, reverse("logs:set_edit", args=[row.pk]), data, twice=twice)
        self.checks["writing statements looked at"] += len(wrote)

    @rule(who=WHO, back=BACK, name=st.sampled_from(["", "Hotel"]), away=st.booleans(), twice=TWICE)
    def unplanned_session(self, who: int, back: int, name: str, away: bool, twice: bool) -> None:
        data = {
            "key": str(uuid4()), "done_on": (TUESDAY - timedelta(days=back)).isoformat(), "name": name,
            "place": str(self.world.home.pk) if away else "", "note": "",
        }  # fmt: skip
        url = reverse("logs:unplanned_session", args=[self.world.people[who].pk])
        self.send("unplanned session", who, url, data, twice=twice)

    @rule(who=WHO, which=WHICH, lift=st.integers(0, 4), load=LOADS, reps=REPS, twice=TWICE)
    def extra_exercise(self, who: int, which: int, lift: int, load: float, reps: int, twice: bool) -> None:
        logs = self.logs_of(who)
        if not logs:
            return
        log = logs[which % len(logs)]
        page = self.world.browser.get(reverse("logs:session_log_detail", args=[log.pk]))
        data = {
            "exercise": self.world.lifts[lift].name, "first": f"{load:g} x {reps} @2",
            "position": str(page.context["page"].next_position),
        }  # fmt: skip
        self.send("extra exercise", who, reverse("logs:extra_exercise", args=[log.pk]), data, twice=twice)

    @rule(who=WHO, which=WHICH, back=BACK, rating=st.integers(0, 10), place=st.integers(0, 2), stale=st.booleans())
    def edit_session(self, who: int, which: int, back: int, rating: int, place: int, stale: bool) -> None:
        logs = self.logs_of(who)
        if not logs:
            return
        log = logs[which % len(logs)]
        data = {
            "done_on": (TUESDAY - timedelta(days=back)).isoformat(), "minutes": "55", "rating": str(rating), "note": "",
            "version": str(max(1, log.version - stale)), "skipped_why": log.skipped_why, "name": log.name,
            "place": str([self.world.gym.pk, self.world.home.pk, ""][place]),
        }  # fmt: skip
        self.send("corrected session", who, reverse("logs:session_log_edit", args=[log.pk]), data)

    @rule(who=WHO, which=WHICH, twice=TWICE)
    def skip_session(self, who: int, which: int, twice: bool) -> None:
        sheets = self.sheets_of(who)
        if sheets:
            data = {"skipped_why": "ill", "skipped_on": TUESDAY.isoformat()}
            url = reverse("logs:session_skip", args=[sheets[which % len(sheets)].pk])
            self.send("skipped session", who, url, data, twice=twice)

    @rule(who=WHO, which=WHICH, of_all=st.booleans(), pain=st.sampled_from(["", "0", "3", "5", "8"]), twice=TWICE)
    def pain(self, who: int, which: int, of_all: bool, pain: str, twice: bool) -> None:
        logs = self.logs_of(who)
        if not logs:
            return
        log = logs[which % len(logs)]
        done = log.sets.order_by("id").last()
        exercise = None if of_all or done is None else done.exercise_id
        mine = PainReport.objects.filter(source_uid=log.key, client_id=log.client_id)
        there = mine.filter(exercise=exercise).first()
        data = {
            "exercise": str(exercise or "session"), "pain": pain, "next_morning": "", "note": "",
            "version": str(there.version if there else 0),
        }  # fmt: skip
        url = reverse("logs:session_pain", args=[log.pk])
        self.send("pain", who, url, data, twice=twice)

    # Sent again, late, and with other values.

    @rule(which=WHICH)
    def replay(self, which: int) -> None:
        if self.sent:
            who, by, url, data = self.sent[which % len(self.sent)]
            self.step("late replay", {self.world.people[who].pk}, lambda: self._post(by, url, data))

    @rule(which=WHICH)
    def key_with_other_values(self, which: int) -> None:
        """A key that stands for a row cannot stand for another: nothing is changed."""
        mine = [one for one in self.sent if "key" in one[3] and "kind" not in one[3]]
        if not mine:
            return
        who, by, url, data = mine[which % len(mine)]
        pk = self.world.people[who].pk
        if not SessionLog.objects.filter(client=pk, key=data["key"]).exists():
            return
        was = self.said_by(pk)
        answer = self.step("key with other values", {pk}, lambda: self._post(by, url, data | {"note": "Other"}))
        assert answer.status_code == 422
        assert self.said_by(pk) == was

    def _post(self, by: Browser, url: str, data: dict[str, Any]) -> Any:
        answer = by.post(url, data)
        assert answer.status_code in ANSWERED, (url, answer.status_code)
        return answer

    # Taken back, and taken back again.

    @rule(who=WHO, which=WHICH)
    def undo_session(self, who: int, which: int) -> None:
        logs = self.logs_of(who)
        if logs:
            url = reverse("logs:session_log_undo", args=[logs[which % len(logs)].pk])
            self.send("undo of a session", who, url, {})

    @rule(which=WHICH)
    def undo_any(self, which: int) -> None:
        acts = [pk for pk in sorted(self.touched_by, reverse=True) if Act.objects.filter(pk=pk, actor=self.world.desk)]
        if not acts:
            return
        pk = acts[which % len(acts)]
        was, url = self.newest, reverse("practice:act_undo", args=[pk])
        self.step("undo of any act", self.touched_by[pk], lambda: self._post(self.world.browser, url, {}))
        self.checks["undos done" if self.newest > was else "undos refused"] += 1
