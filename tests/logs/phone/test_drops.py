"""Where time is short the last exercise may be one set with drops, within the rules; the session shows it."""

import json
from uuid import uuid4

import pytest
from django.urls import reverse

from coachdesk import engine
from programs.logs.models import PhoneEntry, SetLog
from programs.services import issue_sheet, record_test
from programs.services.exercises import set_scheme
from tests.factories.clients import ScreeningFactory
from tests.factories.logs import NOON
from tests.factories.programs import (
    MONDAY,
    ExerciseFactory,
    PlannedExerciseFactory,
    PlannedSessionFactory,
    ProgramFactory,
    scheme_json,
)  # fmt: skip
from tests.hostile.pages import as_seen, read_page

pytestmark = pytest.mark.django_db
CURLS = scheme_json(load_kind="effort", load_value="", reps="10", rir="1", sets="3")


@pytest.fixture
def sheet(desk, linked, gym):
    """Presses, then three sets of curls with two minutes between, handed out for Tue 24 Nov."""
    linked.place = gym
    linked.save()
    ScreeningFactory(client=linked)
    session = PlannedSessionFactory(program=ProgramFactory(coach=desk, client=linked), day=1, name="Upper A")
    press = ExerciseFactory(practice=desk.practice, name="Press")
    curl = ExerciseFactory(
        practice=desk.practice, name="Curl", equipment_kind="dumbbell", pattern="elbow_flexion", spotter=False,
        muscles={"biceps": 1000},
    )  # fmt: skip
    for exercise, scheme in ((press, scheme_json()), (curl, CURLS)):
        PlannedExerciseFactory(session=session, exercise=exercise, scheme=scheme)
        record_test(by=desk, client=linked, exercise=exercise, load=26_000, unit="kg", reps=3, on=MONDAY)
    return issue_sheet(by=desk, session=session, now=NOON, why="Tested with a spotter.")


def proposals(browser, sheet):
    """By minutes: (what is said, the fields of the form that takes it)."""
    url = f"{reverse('phone:session', args=[sheet.pk])}shorter/"
    found = {}
    for minutes in range(5, 21):
        page = as_seen(browser.get(url, {"minutes": minutes}).content.decode())
        forms, _ = read_page(url, page)
        taken = [form.pairs for form in forms if ("kind", "short") in form.pairs and ("minutes", "0") not in form.pairs]
        found[minutes] = (page, taken[0] if taken else [])
    return found


def with_drops(browser, sheet):
    return {n: one for n, one in proposals(browser, sheet).items() if any(name == "drops" for name, _ in one[1])}


def take(browser, sheet, pairs):
    fields = {name: [value for key, value in pairs if key == name] for name, _ in pairs}
    return browser.post(reverse("phone:entry_new", args=[sheet.pk]), fields)


def test_drops_are_proposed_in_words_taken_and_shown_beside_the_exercise(as_client, sheet):
    page, form = next(iter(with_drops(as_client, sheet).values()))
    assert "Curl: 1 set with" in page
    assert "instead of 3 sets" in page
    assert "each stopped with 1 in reserve" in page
    assert take(as_client, sheet, form).status_code == 302
    left = [value for name, value in form if name == "left_out" and value.startswith("2-")]
    assert left == ["2-2-1-b", "2-3-1-b"]
    row = PhoneEntry.objects.get(kind="short")
    assert row.payload["drops"] == [value for name, value in form if name == "drops"]
    shown = as_client.get(reverse("phone:session", args=[sheet.pk])).content.decode()
    assert "After the set at once" in shown
    # The bouts are logged as bouts of that set.
    said = {"kind": "set", "key": uuid4().hex, "slot": "2-1-2-b", "load": "14", "reps": "8", "ago": "0"}
    assert as_client.post(reverse("phone:entry_new", args=[sheet.pk]), said).status_code == 302
    assert SetLog.objects.get().step_no == 2


def test_without_the_plan_it_was_issued_from_nothing_is_proposed(as_client, desk, sheet):
    assert with_drops(as_client, sheet)
    planned = sheet.planned_session.exercises.order_by("position").last()
    set_scheme(by=desk, planned=planned, scheme=engine.scheme_from_json(scheme_json(sets="5")))
    assert not with_drops(as_client, sheet)


def test_a_novice_is_offered_none(as_client, linked, sheet):
    linked.level = "novice"
    linked.save()
    assert not with_drops(as_client, sheet)


@pytest.mark.parametrize("said", [
    "2", "9-14000", "2-0", "2--1", "2-14000-12000-10000-8000", "2-99999999", "2-x", "2-１４", "\0", "2-1" * 10**5,
])  # fmt: skip
def test_drops_that_are_none_are_refused(as_client, sheet, said):
    fields = {"kind": "short", "key": uuid4().hex, "minutes": "9", "drops": said, "ago": "0"}
    assert as_client.post(reverse("phone:entry_new", args=[sheet.pk]), fields).status_code == 422
    assert not PhoneEntry.objects.exists()


def test_they_wait_in_the_queue_as_everything_else(as_client, linked, sheet):
    item = {
        "v": 1, "key": uuid4().hex, "sheet": sheet.pk, "kind": "short", "ago_s": 3,
        "said": {"minutes": "9", "rest": "60", "left_out": ["2-2-1-b"], "pairs": [], "drops": ["2-14000"]},
    }  # fmt: skip
    sent = {"v": 1, "whose": linked.uid.hex, "items": [item]}
    for _ in range(2):
        answer = as_client.post(
            reverse("phone:queue"), json.dumps(sent), content_type="application/json", headers={"X-Phone": "1"}
        )
        assert [one["state"] for one in answer.json()["items"]] == ["saved"]
    assert PhoneEntry.objects.get().payload["drops"] == ["2-14000"]
