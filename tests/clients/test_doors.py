"""Who may open what: every address about a client or place, by each of the cast."""

from dataclasses import dataclass

import pytest
from django.test import Client as Browser

from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, EquipmentFactory, PlaceFactory, PrecautionFactory
from tests.factories.practice import MembershipFactory

READ = ["/clients/{client}/", "/places/{place}/"]
FORMS = [
    "/clients/{client}/edit/", "/clients/{client}/screenings/new/", "/clients/{client}/precautions/new/",
    "/precautions/{precaution}/end/", "/clients/{client}/muscles/edit/", "/places/{place}/edit/",
    "/places/{place}/equipment/barbell/new/", "/equipment/{equipment}/edit/",
]  # fmt: skip
PRESSES = [
    "/clients/{client}/archive/", "/clients/{client}/restore/", "/places/{place}/equipment/start/",
    "/equipment/{equipment}/remove/",
]  # fmt: skip
OF_CLIENT = [path for path in (*READ, *FORMS, *PRESSES) if "client" in path or "precaution" in path]


@dataclass
class Things:
    """One of each, and ids that nothing has."""

    ids: dict[str, int]

    def at(self, path: str) -> str:
        return path.format(**self.ids)


@pytest.fixture
def things(desk: Membership) -> Things:
    client, place = ClientFactory(coach=desk), PlaceFactory(practice=desk.practice)
    row, precaution = EquipmentFactory(place=place), PrecautionFactory(client=client)
    return Things({"client": client.pk, "place": place.pk, "equipment": row.pk, "precaution": precaution.pk})


@pytest.mark.parametrize("path", READ + FORMS)
def test_the_coach_and_the_owner_open_it(things: Things, as_coach: Browser, as_owner: Browser, path: str) -> None:
    assert as_coach.get(things.at(path)).status_code == 200
    assert as_owner.get(things.at(path)).status_code == 200


@pytest.mark.parametrize("path", READ)
def test_an_assistant_reads_it(things: Things, as_assistant: Browser, path: str) -> None:
    assert as_assistant.get(things.at(path)).status_code == 200


@pytest.mark.parametrize("path", FORMS)
def test_an_assistant_is_told_that_forms_are_not_theirs(things: Things, as_assistant: Browser, path: str) -> None:
    assert as_assistant.get(things.at(path)).status_code == 403
    assert as_assistant.post(things.at(path), {"name": "x"}).status_code == 403


@pytest.mark.parametrize("path", PRESSES)
def test_an_assistant_presses_nothing(things: Things, as_assistant: Browser, path: str) -> None:
    assert as_assistant.post(things.at(path)).status_code == 403


@pytest.mark.parametrize("path", READ + FORMS + PRESSES)
def test_another_practices_thing_and_a_missing_one_answer_alike(
    things: Things, as_stranger: Browser, path: str
) -> None:
    missing = Things(dict.fromkeys(things.ids, 987654))
    seen = [
        (as_stranger.get(there.at(path)).status_code, as_stranger.post(there.at(path), {"name": "x"}).status_code)
        for there in (things, missing)
    ]
    assert seen[0] == seen[1]
    assert 404 in seen[0]
    assert set(seen[0]) <= {404, 405}


@pytest.mark.parametrize("path", OF_CLIENT)
def test_a_colleague_of_the_same_practice_does_not_see_the_client(things: Things, desk: Membership, path: str) -> None:
    browser = Browser()
    browser.force_login(MembershipFactory(practice=desk.practice).user)
    assert browser.post(things.at(path), {"name": "x"}).status_code in (404, 405)
    assert browser.get(things.at(path)).status_code in (404, 405)


@pytest.mark.parametrize("path", READ + FORMS + PRESSES)
def test_nobody_unsigned_opens_anything(things: Things, anonymous: Browser, path: str) -> None:
    for answer in (anonymous.get(things.at(path)), anonymous.post(things.at(path))):
        assert answer.status_code == 302
        assert answer["Location"].startswith("/sign-in/")


@pytest.mark.parametrize("pk", ["0", "9223372036854775807", "9223372036854775808", "9" * 60])
def test_any_number_as_an_id_is_answered(as_coach: Browser, pk: str) -> None:
    for path in READ:
        assert as_coach.get(path.format(client=pk, place=pk)).status_code == 404
