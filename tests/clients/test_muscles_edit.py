"""Marking muscles, also by two people at once."""

from typing import Any

import pytest
from django.test import Client as Browser

from clients.models import Client, MarkedMuscle
from coachdesk.engine import MUSCLES
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, MarkedMuscleFactory


@pytest.fixture
def rosa(desk: Membership) -> Client:
    client = ClientFactory(coach=desk)
    MarkedMuscleFactory(client=client, muscle="chest", aim="grow")
    return client


def typed(was: dict[str, str], **aims: str) -> dict[str, str]:
    """A whole form: what was shown, and the aims typed over it."""
    data = {f"was_{muscle.code}": was.get(muscle.code, "") for muscle in MUSCLES}
    return {**data, **{muscle.code: was.get(muscle.code, "") for muscle in MUSCLES}, **aims}


def post(browser: Browser, client: Client, data: Any) -> Any:
    return browser.post(f"/clients/{client.pk}/muscles/edit/", data)


def marks() -> dict[str, str]:
    return dict(MarkedMuscle.objects.values_list("muscle", "aim"))


def test_marks_are_set_changed_and_taken_away(rosa: Client, as_coach: Browser) -> None:
    assert post(as_coach, rosa, typed({"chest": "grow"}, quads="rehab")).status_code == 302
    assert marks() == {"chest": "grow", "quads": "rehab"}
    post(as_coach, rosa, typed(marks(), chest="", quads="hold"))
    assert marks() == {"quads": "hold"}


def test_two_people_marking_different_muscles_both_stand(rosa: Client, as_coach: Browser) -> None:
    post(as_coach, rosa, typed({"chest": "grow"}, quads="rehab"))
    post(as_coach, rosa, typed({"chest": "grow"}, lats="grow"))
    assert marks() == {"chest": "grow", "quads": "rehab", "lats": "grow"}


def test_two_people_marking_one_muscle_see_both_marks(rosa: Client, as_coach: Browser) -> None:
    post(as_coach, rosa, typed({"chest": "grow"}, chest="hold", quads="rehab"))
    answer = post(as_coach, rosa, typed({"chest": "grow"}, chest="", lats="grow"))
    page = answer.content.decode()
    assert answer.status_code == 409
    assert "saved now: hold" in page
    assert "you typed: nothing" in page
    assert marks() == {"chest": "hold", "quads": "rehab"}
    # sending the shown form once more is a decision, and keeps their other mark
    assert post(as_coach, rosa, answer.context["form"].data).status_code == 302
    assert marks() == {"quads": "rehab", "lats": "grow"}


def test_theirs_can_be_kept(rosa: Client, as_coach: Browser) -> None:
    post(as_coach, rosa, typed({"chest": "grow"}, chest="hold"))
    form = post(as_coach, rosa, typed({"chest": "grow"}, chest="", lats="grow")).context["form"]
    assert post(as_coach, rosa, {**form.data, "take": ["chest"]}).status_code == 302
    assert marks() == {"chest": "hold", "lats": "grow"}


@pytest.mark.parametrize("data", [{"chest": "huge"}, {"was_chest": "huge"}])
def test_an_unknown_aim_is_refused(rosa: Client, as_coach: Browser, data: dict[str, str]) -> None:
    assert post(as_coach, rosa, {**typed({"chest": "grow"}), **data}).status_code == 422
    assert marks() == {"chest": "grow"}
