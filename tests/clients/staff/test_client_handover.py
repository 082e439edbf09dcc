"""One client given to another coach: the note, who has seen it, the history, the one undo."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.test import Client as Browser

from clients.models import Client, Handover, HandoverSeen
from clients.services import create_client, edit_client
from clients.services.handover import hand_over_client, see_handover
from clients.staff.selectors import coaches_of
from coachdesk.practice.models import Act, Membership
from coachdesk.practice.tape import undo
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory

NOTE = "Shoulder slow since October.\nLook at her pressing first."


@pytest.fixture
def heir(desk: Membership) -> Membership:
    return MembershipFactory(practice=desk.practice, user__name="Jonas Ek")


@pytest.fixture
def client(desk: Membership) -> Client:
    return ClientFactory(coach=desk, name="Vera Lindholm")


@pytest.fixture
def as_heir(heir: Membership) -> Browser:
    browser = Browser()
    browser.force_login(heir.user)
    return browser


def hand(browser: Browser, client: Client, to: Any, was: Any, note: str = NOTE) -> Any:
    return browser.post(f"/clients/{client.pk}/handover/", {"to": to, "was": was, "note": note})


def test_the_new_coach_is_told_with_the_note_and_answers_once(
    as_owner: Browser, as_coach: Browser, as_heir: Browser, client: Client, desk: Membership, heir: Membership
) -> None:
    assert hand(as_owner, client, heir.pk, desk.pk).status_code == 302
    assert as_coach.get(f"/clients/{client.pk}/").status_code == 404  # at once
    assert "handed over Tue 24 Nov" in as_heir.get("/").content.decode()
    page = as_heir.get(f"/clients/{client.pk}/").content.decode()
    assert "Look at her pressing first." in page
    assert "From Ana Reis to Jonas Ek, by Olu Mensah." in page
    assert 'id="handover-seen"' in page
    assert [as_heir.post(f"/clients/{client.pk}/handover/seen/").status_code for _ in range(2)] == [302, 302]
    assert HandoverSeen.objects.count() == 1
    assert "handed over" not in as_heir.get("/").content.decode()
    assert 'id="handover-seen"' not in as_heir.get(f"/clients/{client.pk}/").content.decode()


def test_the_owner_reads_that_it_is_not_seen_and_cannot_answer_for_the_coach(
    as_owner: Browser, owner: Membership, client: Client, desk: Membership, heir: Membership, now: datetime
) -> None:
    hand(as_owner, client, heir.pk, desk.pk)
    page = as_owner.get(f"/clients/{client.pk}/").content.decode()
    assert "Jonas Ek has not said yet that they have seen it." in page
    with pytest.raises(ValidationError, match="Only Jonas Ek"):
        see_handover(by=owner, client=client, now=now)
    as_owner.post(f"/clients/{client.pk}/handover/seen/")
    assert not HandoverSeen.objects.exists()


def test_history_says_who_coached_from_when_to_when(
    owner: Membership, client: Client, desk: Membership, heir: Membership, now: datetime
) -> None:
    later = now + timedelta(days=40)
    hand_over_client(by=owner, client=client, was=desk.pk, to=heir, note="", now=now)
    hand_over_client(by=owner, client=client, was=heir.pk, to=desk, note="Back.", now=later)
    spans = [(one.coach, one.since, one.until) for one in coaches_of(Client.objects.get(pk=client.pk)).spans]
    assert spans == [(desk, later, None), (heir, now, later), (desk, None, now)]


def test_the_first_coach_began_when_the_client_was_added(owner: Membership, heir: Membership, now: datetime) -> None:
    client = create_client(by=owner, name="Rosa", now=now)
    hand_over_client(by=owner, client=client, was=owner.pk, to=heir, note="", now=now + timedelta(days=1))
    assert [one.since for one in coaches_of(client).spans] == [now + timedelta(days=1), now]


def test_every_way_of_giving_a_client_away_is_kept(
    as_owner: Browser, owner: Membership, client: Client, desk: Membership, heir: Membership, now: datetime
) -> None:
    edit_client(by=owner, client=client, version=1, now=now, coach=heir)
    version = Client.objects.get(pk=client.pk).version
    do = {"do": f"coach:{desk.pk}", "client": f"{client.pk}-{version}", "sure": "1"}
    assert as_owner.post("/roster/act/", do).status_code == 302
    found = Handover.objects.order_by("id").values_list("from_coach", "to_coach", "handed_by")
    assert list(found) == [(desk.pk, heir.pk, owner.pk), (heir.pk, desk.pk, owner.pk)]


def test_one_undo_takes_it_back_also_after_it_was_seen_and_redo_does_it_again(
    as_owner: Browser, as_heir: Browser, owner: Membership, client: Client, desk: Membership, heir: Membership
) -> None:
    hand(as_owner, client, heir.pk, desk.pk)
    as_heir.post(f"/clients/{client.pk}/handover/seen/")
    page = as_owner.get(f"/clients/{client.pk}/").content.decode()
    assert "Undo: Hand Vera Lindholm over to Jonas Ek" in page
    act = Act.objects.get(label="Hand Vera Lindholm over to Jonas Ek")
    as_owner.post(f"/acts/{act.pk}/undo/", {"next": f"/clients/{client.pk}/"})
    assert (Client.objects.get().coach, Handover.objects.count()) == (desk, 0)
    undo(Act.objects.latest("id"), by=owner)
    assert (Client.objects.get().coach, Handover.objects.get().note) == (heir, NOTE)


def test_who_takes_a_client_over_themselves_is_told_nothing(
    as_owner: Browser, owner: Membership, client: Client, desk: Membership
) -> None:
    hand(as_owner, client, owner.pk, desk.pk)
    assert 'id="handover"' not in as_owner.get(f"/clients/{client.pk}/").content.decode()
    assert "handed over" not in as_owner.get("/").content.decode()


def test_two_owners_at_once_do_not_overwrite_each_other(
    as_owner: Browser, client: Client, desk: Membership, heir: Membership
) -> None:
    third = MembershipFactory(practice=desk.practice)
    assert hand(as_owner, client, heir.pk, desk.pk).status_code == 302
    second = hand(as_owner, client, third.pk, desk.pk)
    assert second.status_code == 422
    assert "was handed over to Jonas Ek meanwhile" in second.content.decode()
    again = hand(as_owner, client, heir.pk, desk.pk)  # a double click
    assert (again.status_code, "coaches Vera Lindholm already" in again.content.decode()) == (422, True)
    assert Handover.objects.count() == 1


@pytest.mark.parametrize(
    ("to", "was", "note"),
    [
        ("", None, ""), ("x", None, ""), ("9" * 60, None, ""), ("\x00", None, ""), ("-1", None, ""),
        (None, "x", ""), (None, "", ""), (None, "9" * 40, ""), (None, None, "x" * 1_000_000),
        (None, None, "a" + "\u0335" * 40), ("stranger", None, ""), ("assistant", None, ""),
    ],
)  # fmt: skip
def test_bad_input_changes_nothing(
    as_owner: Browser, client: Client, desk: Membership, heir: Membership, stranger: Membership,
    assistant: Membership, to: Any, was: Any, note: str,
) -> None:  # fmt: skip
    people = {"stranger": stranger.pk, "assistant": assistant.pk, None: heir.pk}
    assert hand(as_owner, client, people.get(to, to), desk.pk if was is None else was, note).status_code == 422
    assert Client.objects.get().coach == desk
    assert not Handover.objects.exists()


def test_a_stray_nul_is_dropped_from_the_note(
    as_owner: Browser, client: Client, desk: Membership, heir: Membership
) -> None:
    assert hand(as_owner, client, heir.pk, desk.pk, "Kn\x00ee").status_code == 302
    assert Handover.objects.get().note == "Knee"


def test_only_the_owner_hands_over(desk: Membership, heir: Membership, client: Client, now: datetime) -> None:
    with pytest.raises(PermissionDenied):
        hand_over_client(by=desk, client=client, was=desk.pk, to=heir, note="", now=now)
