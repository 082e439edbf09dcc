"""Those who work in a practice: added, given other roles, leaving and coming back, by its owner alone."""

import re
from datetime import datetime
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.test import Client as Browser

from clients.models import Client
from clients.staff import services
from coachdesk.practice.models import Act, Membership, SignInLink, User
from coachdesk.practice.services import make_sign_in_link
from coachdesk.practice.tape import UndoConflict, undo
from programs.logs.services.roster_views import keep_view
from programs.models import TrainingGroup
from tests.factories.calendar import group_of
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory, UserFactory

NEW = {"name": "Jonas Ek", "email": "jonas@example.org", "role": "coach"}


@pytest.fixture
def colleague(desk: Membership) -> Membership:
    return MembershipFactory(practice=desk.practice, user__name="Jonas Ek")


def newest(practice: Any) -> Act:
    return Act.objects.filter(practice=practice).latest("id")


def test_an_owner_adds_a_coach_who_signs_in_by_the_address_and_chooses_a_password(
    as_owner: Browser, owner: Membership, anonymous: Browser
) -> None:
    made = as_owner.post("/staff/new/", NEW)
    coach = Membership.objects.get(user__email="jonas@example.org")
    assert (made.status_code, made["Location"]) == (302, f"/staff/{coach.pk}/edit/")
    shown = as_owner.post(f"/staff/{coach.pk}/address/")
    assert shown["Cache-Control"] == "no-store"
    path = re.search(r'id="link-address">http://testserver(/sign-in/[\w-]{43}/)</p>', shown.content.decode())
    assert path
    assert anonymous.post(path[1]).status_code == 302
    word = {"new": "three grey herons", "again": "three grey herons"}
    assert anonymous.post("/password/", word).status_code == 302
    typed = {"email": "jonas@example.org", "password": "three grey herons"}
    assert Browser().post("/sign-in/", typed).status_code == 302
    assert newest(owner.practice).label == "Make a sign-in address for Jonas Ek"


def test_an_assistant_sees_the_clients_of_those_they_assist(as_owner: Browser, desk: Membership) -> None:
    seen, other = ClientFactory(coach=desk), ClientFactory(coach=MembershipFactory(practice=desk.practice))
    typed = {**NEW, "role": "assistant", "assists": [desk.pk], "may_log": "on"}
    assert as_owner.post("/staff/new/", typed).status_code == 302
    helper = Membership.objects.get(user__email="jonas@example.org")
    assert (helper.may_log, helper.can_log, helper.can_write) == (True, True, False)
    browser = Browser()
    browser.force_login(helper.user)
    assert [browser.get(f"/clients/{one.pk}/").status_code for one in (seen, other)] == [200, 404]


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"email": "olu@example.org"}, "is the address of Olu Mensah, who works here already"),
        ({"email": "OLU@example.org"}, "works here already"),
        ({"email": "sam@example.org"}, "cannot be used here"),
        ({"email": "gone@example.org"}, "worked here before; take them back"),
        ({"email": "nobody"}, "valid email address"), ({"email": "a@b.example" * 100}, "at most 254"),
        ({"name": ""}, "required"), ({"name": "\x00"}, "required"), ({"name": "x" * 1_000_000}, "at most 120"),
        ({"name": "a" + "\u0335" * 40}, "combining marks"), ({"role": "king"}, "Choose owner, coach or assistant"),
        ({"role": ""}, "Choose owner"), ({"assists": ["x"]}, "x"), ({"assists": ["9" * 40]}, "999"),
    ],
)  # fmt: skip
def test_what_cannot_be_added_is_said_with_the_reason(
    as_owner: Browser, owner: Membership, stranger: Membership, typed: dict[str, Any], words: str, now: datetime
) -> None:
    User.objects.filter(pk=owner.user_id).update(email="olu@example.org")
    User.objects.filter(pk=stranger.user_id).update(email="sam@example.org")
    MembershipFactory(practice=owner.practice, user=UserFactory(email="gone@example.org"), left_at=now)
    before = Membership.objects.count()
    answer = as_owner.post("/staff/new/", {**NEW, **typed})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Membership.objects.count() == before


def test_a_second_press_adds_nobody_twice(as_owner: Browser) -> None:
    assert [as_owner.post("/staff/new/", NEW).status_code for _ in range(2)] == [302, 422]
    assert Membership.objects.filter(user__email="jonas@example.org").count() == 1


def test_only_coaches_of_the_practice_can_be_assisted(
    as_owner: Browser, desk: Membership, stranger: Membership, assistant: Membership
) -> None:
    for whom in (stranger, assistant):
        answer = as_owner.post("/staff/new/", {**NEW, "role": "assistant", "assists": [whom.pk]})
        assert answer.status_code == 422


def test_services_refuse_anybody_but_the_owner(desk: Membership, colleague: Membership, now: datetime) -> None:
    as_coach: dict[str, Any] = {"by": desk, "now": now}
    with pytest.raises(PermissionDenied):
        services.add_staff(**as_coach, **NEW, may_log=False, assists=[])
    with pytest.raises(PermissionDenied):
        services.end_staff(**as_coach, member=colleague, heir=None, note="")
    with pytest.raises(PermissionDenied):
        services.make_staff_address(**as_coach, member=colleague)


def test_two_owners_who_change_other_things_of_an_assistant_keep_both(
    owner: Membership, desk: Membership, colleague: Membership, assistant: Membership, now: datetime
) -> None:
    drawn: dict[str, Any] = {"member": assistant, "version": 1, "role": "assistant", "was": [desk.pk], "now": now}
    services.change_staff(by=owner, may_log=True, assists=[desk], **drawn)
    services.change_staff(by=owner, may_log=False, assists=[colleague], **drawn)
    assistant.refresh_from_db()
    assert assistant.may_log
    assert set(assistant.assists.all()) == {colleague}


def test_undo_puts_back_whom_an_assistant_assists(
    owner: Membership, desk: Membership, assistant: Membership, now: datetime
) -> None:
    services.change_staff(
        by=owner, member=assistant, version=1, role="coach", may_log=True, assists=[], was=[desk.pk], now=now
    )
    assistant.refresh_from_db()
    assert (assistant.role, assistant.may_log, assistant.assists.count()) == ("coach", False, 0)
    undo(newest(owner.practice), by=owner)
    assistant.refresh_from_db()
    assert (assistant.role, list(assistant.assists.all())) == ("assistant", [desk])


def test_a_coach_with_clients_becomes_no_assistant(as_owner: Browser, desk: Membership) -> None:
    ClientFactory.create_batch(2, coach=desk)
    answer = as_owner.post(f"/staff/{desk.pk}/edit/", {"role": "assistant", "version": 1})
    assert answer.status_code == 422
    assert "still coaches 2 clients; hand them over first" in answer.content.decode()


def test_a_practice_keeps_an_owner(as_owner: Browser, owner: Membership, desk: Membership, now: datetime) -> None:
    down = as_owner.post(f"/staff/{owner.pk}/edit/", {"role": "coach", "version": 1})
    assert (down.status_code, "needs an owner" in down.content.decode()) == (422, True)
    services.change_staff(by=owner, member=desk, version=1, role="owner", may_log=False, assists=[], was=[], now=now)
    made = newest(owner.practice)
    second = Membership.objects.get(pk=desk.pk)
    services.change_staff(by=second, member=owner, version=1, role="coach", may_log=False, assists=[], was=[], now=now)
    with pytest.raises(UndoConflict):  # it would leave nobody
        undo(made, by=second)
    with pytest.raises(UndoConflict, match="the owner's to take back"):
        undo(newest(owner.practice), by=Membership.objects.get(pk=owner.pk))


def test_who_leaves_hands_everything_over_in_the_same_act(
    as_owner: Browser, owner: Membership, desk: Membership, colleague: Membership, now: datetime
) -> None:
    clients = [*ClientFactory.create_batch(3, coach=desk), ClientFactory(coach=desk, archived=True)]
    group_of(desk, clients[:2])
    keep_view(by=desk, name="Mine", filters={}, is_shared=False, now=now)
    refused = as_owner.post(f"/staff/{desk.pk}/leave/", {"heir": "", "note": ""})
    assert (refused.status_code, "still coaches 4 clients" in refused.content.decode()) == (422, True)
    done = as_owner.post(f"/staff/{desk.pk}/leave/", {"heir": colleague.pk, "note": "Moved away"})
    assert done.status_code == 302
    assert set(Client.objects.values_list("coach", flat=True)) == {colleague.pk}
    assert TrainingGroup.objects.get().coach == colleague
    assert {one.handovers.get().note for one in clients} == {"Moved away"}
    page = as_owner.get("/").content.decode()
    assert "Mine</a> <span" in page
    assert "(Ana Reis, who has left)" in page
    undo(newest(owner.practice), by=owner)
    assert set(Client.objects.values_list("coach", flat=True)) == {desk.pk}
    assert TrainingGroup.objects.get().coach == desk
    assert not any(one.handovers.exists() for one in clients)


def test_leaving_ends_every_sign_in_at_once_and_an_undo_revives_none(
    owner: Membership, desk: Membership, now: datetime
) -> None:
    user = desk.user
    user.set_password("three grey herons")
    user.save()
    browsers = [Browser(), Browser()]
    for browser in browsers:
        assert browser.post("/sign-in/", {"email": user.email, "password": "three grey herons"}).status_code == 302
    token = make_sign_in_link(user=user, now=now)
    services.end_staff(by=owner, member=desk, heir=None, note="", now=now)
    late = make_sign_in_link(user=User.objects.get(pk=user.pk), now=now)
    for _ in ("left", "undone"):
        assert [browser.get("/").status_code for browser in browsers] == [302, 302]
        again = Browser().post("/sign-in/", {"email": user.email, "password": "three grey herons"})
        assert (again.status_code, Browser().post(f"/sign-in/{token}/").status_code) == (422, 422)
        if _ == "left":
            assert Browser().post(f"/sign-in/{late}/").status_code == 422
            assert SignInLink.objects.count() == 1
            undo(newest(owner.practice), by=owner)
    assert Membership.objects.get(pk=desk.pk).left_at is None
    assert Browser().post(f"/sign-in/{late}/").status_code == 302


def test_leaving_is_refused_to_oneself_twice_and_to_a_stranger(
    as_owner: Browser, owner: Membership, desk: Membership, colleague: Membership, stranger: Membership
) -> None:
    ClientFactory(coach=desk)
    for heir in (stranger.pk, desk.pk, "x", "9" * 60, "\x00"):
        assert as_owner.post(f"/staff/{desk.pk}/leave/", {"heir": heir}).status_code == 422
    assert as_owner.post(f"/staff/{owner.pk}/leave/", {"heir": colleague.pk}).status_code == 422
    answers = [as_owner.post(f"/staff/{colleague.pk}/leave/", {}).status_code for _ in range(2)]
    assert answers == [302, 422]
    assert as_owner.post(f"/staff/{colleague.pk}/address/", follow=True).redirect_chain
    assert not SignInLink.objects.exists()


def test_nobody_is_handed_to_a_coach_who_has_left_by_an_undo_or_an_edit(
    as_owner: Browser, owner: Membership, desk: Membership, colleague: Membership, now: datetime
) -> None:
    client = ClientFactory(coach=desk)
    as_owner.post(f"/clients/{client.pk}/handover/", {"to": colleague.pk, "was": desk.pk, "note": ""})
    handed = newest(owner.practice)
    services.end_staff(by=owner, member=desk, heir=None, note="", now=now)
    with pytest.raises(UndoConflict):
        undo(handed, by=owner)
    client.refresh_from_db()
    assert client.coach == colleague
    answer = as_owner.post(f"/clients/{client.pk}/handover/", {"to": desk.pk, "was": colleague.pk, "note": ""})
    assert answer.status_code == 422


def test_who_comes_back_begins_without_clients_and_without_a_password(
    as_owner: Browser, owner: Membership, colleague: Membership, now: datetime
) -> None:
    services.end_staff(by=owner, member=colleague, heir=None, note="", now=now)
    assert as_owner.post(f"/staff/{colleague.pk}/return/").status_code == 302
    colleague.refresh_from_db()
    assert colleague.left_at is None
    assert not User.objects.get(pk=colleague.user_id).has_usable_password()
    back = newest(owner.practice)
    ClientFactory(coach=colleague)
    with pytest.raises(UndoConflict):  # a client would be left without a coach
        undo(back, by=owner)


def test_adding_is_undone_until_they_have_worked_here(as_owner: Browser, owner: Membership, now: datetime) -> None:
    as_owner.post("/staff/new/", NEW)
    added = newest(owner.practice)
    coach = Membership.objects.get(user__email="jonas@example.org")
    keep_view(by=coach, name="Mine", filters={}, is_shared=False, now=now)
    with pytest.raises(UndoConflict, match="worked here since"):
        undo(added, by=owner)
    as_owner.post("/staff/new/", {**NEW, "email": "other@example.org"})
    undo(newest(owner.practice), by=owner)
    assert not Membership.objects.filter(user__email="other@example.org").exists()


def test_the_last_client_of_a_race_is_not_left_with_somebody_who_left(desk: Membership, now: datetime) -> None:
    from clients.services import create_client

    Membership.objects.filter(pk=desk.pk).update(left_at=now)  # between the look at the coach and the write
    with pytest.raises(ValidationError, match="has left"):
        create_client(by=desk, now=now, name="Rosa")
    assert not Client.objects.exists()
