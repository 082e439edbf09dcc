"""The name and the sign-in address of somebody who works here, changed by the owner alone."""

from datetime import datetime
from typing import Any

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.test import Client as Browser

from clients.services.stale import StaleForm
from clients.staff import services
from coachdesk.practice.models import Act, Change, Membership, User
from coachdesk.practice.tape import UndoConflict, undo
from tests.factories.practice import MembershipFactory, UserFactory

WORD = "three grey herons"


@pytest.fixture
def colleague(desk: Membership) -> Membership:
    member = MembershipFactory(practice=desk.practice, user__name="Jonas Ek", user__email="jonas@example.org")
    member.user.set_password(WORD)
    member.user.save()
    return member


def typed(member: Membership, **changed: str) -> dict[str, str]:
    """What the page's form sends, with what was changed in it."""
    user = User.objects.get(pk=member.user_id)
    return {"name": user.name, "email": user.email, "was_name": user.name, "was_email": user.email, **changed}


def stands(member: Membership) -> tuple[str, str]:
    user = User.objects.get(pk=member.user_id)
    return user.name, user.email


def opens(email: str) -> bool:
    return Browser().post("/sign-in/", {"email": email, "password": WORD}).status_code == 302


def test_the_new_address_opens_the_desk_with_the_old_password_and_the_old_one_nothing(
    as_owner: Browser, owner: Membership, colleague: Membership
) -> None:
    inside = Browser()
    assert inside.post("/sign-in/", {"email": "jonas@example.org", "password": WORD}).status_code == 302
    page = f"/staff/{colleague.pk}/person/"
    assert "They sign in with it from the next time on" in as_owner.get(page).content.decode()
    answer = as_owner.post(page, typed(colleague, name="Jonas Eklund", email="Jonas.Eklund@Example.org "))
    assert (answer.status_code, answer["Location"]) == (302, f"/staff/{colleague.pk}/edit/")
    assert stands(colleague) == ("Jonas Eklund", "jonas.eklund@example.org")
    assert (opens("jonas.eklund@example.org"), opens("jonas@example.org")) == (True, False)
    assert inside.get("/").status_code == 200
    act = Act.objects.filter(practice=owner.practice).latest("id")
    assert act.label == "Change name and address of Jonas Ek"
    undo(act, by=owner)
    assert stands(colleague) == ("Jonas Ek", "jonas@example.org")
    assert (opens("jonas.eklund@example.org"), opens("jonas@example.org")) == (False, True)


def test_no_password_is_on_the_tape_and_an_undo_brings_none_back(
    as_owner: Browser, owner: Membership, colleague: Membership
) -> None:
    as_owner.post(f"/staff/{colleague.pk}/person/", typed(colleague, name="Jonas Eklund"))
    (change,) = Change.objects.filter(model="practice.user")
    assert change.before == {"id": colleague.user_id, "email": "jonas@example.org", "name": "Jonas Ek"}
    assert change.after == {**change.before, "name": "Jonas Eklund"}
    user = User.objects.get(pk=colleague.user_id)
    user.set_password("five white storks")
    user.save()
    undo(change.act, by=owner)
    assert User.objects.get(pk=user.pk).check_password("five white storks")


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"email": "olu@example.org"}, "olu@example.org is the address of Olu Mensah"),
        ({"email": "OLU@example.org"}, "is the address of Olu Mensah"),
        ({"email": "gone@example.org"}, "is the address of Ida Lund"),
        ({"email": "sam@example.org"}, "sam@example.org cannot be used here"),
        ({"email": "loose@example.org"}, "loose@example.org cannot be used here"),
        ({"email": "nobody"}, "valid email address"), ({"email": ""}, "required"), ({"name": " "}, "required"),
        ({"email": "a" * 250 + "@b.example"}, "at most 254"), ({"email": "a\x00b@example.org"}, "Null characters"),
        ({"name": "x" * 10**6}, "at most 120"), ({"name": "a" + "\u0335" * 40}, "combining marks"),
        ({"email": "x" * 10**6}, "valid email address"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_said_at_its_field_and_stays_typed(
    as_owner: Browser, owner: Membership, colleague: Membership, stranger: Membership, now: datetime,
    changed: dict[str, Any], words: str,
) -> None:  # fmt: skip
    User.objects.filter(pk=owner.user_id).update(name="Olu Mensah", email="olu@example.org")
    User.objects.filter(pk=stranger.user_id).update(email="sam@example.org")
    gone = UserFactory(name="Ida Lund", email="gone@example.org")
    MembershipFactory(practice=owner.practice, user=gone, left_at=now)
    UserFactory(email="loose@example.org")  # somebody whose adding was undone
    answer = as_owner.post(f"/staff/{colleague.pk}/person/", typed(colleague, **changed))
    assert answer.status_code == 422
    page = answer.content.decode()
    assert words in page
    assert all(value.strip("\x00 ")[:100] in page for value in changed.values())
    assert stands(colleague) == ("Jonas Ek", "jonas@example.org")
    assert not Change.objects.filter(model="practice.user").exists()


def test_saving_what_stands_writes_nothing(as_owner: Browser, colleague: Membership) -> None:
    assert as_owner.post(f"/staff/{colleague.pk}/person/", typed(colleague)).status_code == 302
    assert not Act.objects.filter(label__startswith="Change name").exists()


def test_two_owners_keep_both_or_are_asked(as_owner: Browser, colleague: Membership) -> None:
    page, drawn = f"/staff/{colleague.pk}/person/", typed(colleague)
    as_owner.post(page, {**drawn, "name": "Jonas Eklund"})
    as_owner.post(page, {**drawn, "email": "eklund@example.org"})
    assert stands(colleague) == ("Jonas Eklund", "eklund@example.org")
    answer = as_owner.post(page, {**drawn, "email": "je@example.org"})
    assert answer.status_code == 409
    shown = answer.content.decode()
    assert "Somebody changed this name or address meanwhile" in shown
    assert 'value="je@example.org"' in shown  # mine, to be saved again
    assert "Jonas Eklund, eklund@example.org" in shown  # theirs
    assert stands(colleague) == ("Jonas Eklund", "eklund@example.org")
    assert as_owner.post(page, typed(colleague, email="je@example.org")).status_code == 302
    assert stands(colleague) == ("Jonas Eklund", "je@example.org")


def test_who_works_in_another_practice_is_changed_from_neither(
    as_owner: Browser, owner: Membership, stranger: Membership, now: datetime
) -> None:
    here = MembershipFactory(practice=owner.practice, user=stranger.user, left_at=now)
    before = stands(here)
    answer = as_owner.post(f"/staff/{here.pk}/person/", typed(here, email="mine@example.org"))
    assert (answer.status_code, "has left; take them back first" in answer.content.decode()) == (422, True)
    Membership.objects.filter(pk=here.pk).update(left_at=None)
    answer = as_owner.post(f"/staff/{here.pk}/person/", typed(here, email="mine@example.org"))
    assert (answer.status_code, "works in another practice" in answer.content.decode()) == (422, True)
    assert stands(here) == before


def test_an_undo_does_not_reach_into_another_practice_or_onto_a_taken_address(
    as_owner: Browser, owner: Membership, colleague: Membership, stranger: Membership, now: datetime
) -> None:
    as_owner.post(f"/staff/{colleague.pk}/person/", typed(colleague, email="new@example.org"))
    act = Act.objects.filter(practice=owner.practice).latest("id")
    taken = UserFactory(email="jonas@example.org")
    with pytest.raises(UndoConflict):
        undo(act, by=owner)
    taken.delete()
    Membership.objects.filter(pk=colleague.pk).update(left_at=now)
    MembershipFactory(practice=stranger.practice, user=colleague.user)
    with pytest.raises(UndoConflict):
        undo(act, by=owner)
    assert stands(colleague) == ("Jonas Ek", "new@example.org")


def test_services_refuse_anybody_but_the_owner_and_coaches_do_not_undo_it(
    as_owner: Browser, owner: Membership, desk: Membership, colleague: Membership, now: datetime
) -> None:
    drawn: dict[str, Any] = {"member": colleague, "now": now, **typed(colleague, name="Jon Ek")}
    with pytest.raises(PermissionDenied):
        services.change_person(by=desk, **drawn)
    services.change_person(by=owner, **drawn)
    with pytest.raises(UndoConflict, match="the owner's to take back"):
        undo(Act.objects.filter(practice=owner.practice).latest("id"), by=desk)
    with pytest.raises(StaleForm):
        services.change_person(by=owner, **{**drawn, "name": "J. Ek"})
    with pytest.raises(ValidationError):
        services.change_person(by=owner, **{**drawn, "was_name": "Jon Ek", "name": ""})
