"""Attacks by ids in form fields: what belongs to others is refused like what does not exist, and nothing changes."""

from datetime import datetime
from typing import Any

import pytest
from django.apps import apps
from django.test import Client as Browser

from clients.models import Client
from coachdesk.practice.models import Membership
from coachdesk.practice.tape import fields_of
from programs.logs.models import ClientNeed
from tests.factories.clients import ClientFactory
from tests.factories.practice import MembershipFactory
from tests.factories.programs import STRAIGHT, PlannedSessionFactory, ProgramFactory
from tests.factories.whole import one_of_everything

PROFILE = {
    "name": "N", "goal": "size", "level": "novice", "days_per_week": "3", "minutes_per_session": "60", "unit": "kg",
    "time_zone": "UTC", "notes": "",
}  # fmt: skip
MONDAY = "2027-01-04"


def everything() -> dict[str, Any]:
    """Every row of every table of ours, as plain values, without what looking at the roster works out anew."""
    ours = ("practice", "clients", "programs", "logs")
    models = [m for m in apps.get_models() if m._meta.app_label in ours and m is not ClientNeed]
    return {f"{m._meta.label} {row.pk}": fields_of(row) for m in models for row in m._default_manager.order_by("pk")}


def forms(mine: dict[str, list[Any]], theirs: dict[str, list[Any]], desk: Membership) -> list[tuple[str, Any]]:
    """(path of ours, form with one id of theirs) for every field that takes an id."""
    client, place, exercise = theirs["client"][0], theirs["place"][0], theirs["exercise"][0]
    program, session, planned = mine["program"][0], mine["session"][0], mine["planned"][0]
    own, test = mine["client"][0], theirs["client_test"][1]
    scheme = {**STRAIGHT, "version": 1, "exercise": exercise}
    tested = {"exercise": exercise, "load": "100", "unit": "kg", "reps": "1", "on": "2026-11-01"}
    return [
        ("/clients/new/", {**PROFILE, "coach": desk.pk, "place": place}),
        (f"/clients/{own}/edit/", {**PROFILE, "coach": desk.pk, "place": place, "version": 1}),
        ("/programs/new/", {"name": "P", "weeks": 2, "client": client, "start_on": MONDAY}),
        (f"/programs/{program}/assign/", {"client": client, "start_on": MONDAY}),
        (f"/programs/{program}/flags/apply/", {"flag": "x", "for": client}),
        (f"/sessions/{session}/edit/", {"name": "x", "week_no": 1, "day": 0, "place": place, "version": 1}),
        (f"/sessions/{session}/exercises/new/", {"exercise": exercise}),
        (f"/planned-exercises/{planned}/edit/", scheme),
        (f"/clients/{own}/strength/", tested),
        (f"/clients/{own}/strength/{test}/delete/", {}),
    ]


def test_ids_of_another_practice_in_a_form_change_nothing(
    desk: Membership, stranger: Membership, now: datetime, as_coach: Browser, as_owner: Browser
) -> None:
    mine, theirs = one_of_everything(desk, now), one_of_everything(stranger, now)
    for browser in (as_coach, as_owner):
        before = everything()
        for path, form in forms(mine, theirs, desk):
            answer = browser.post(path, form, headers={"HX-Request": "true"})
            assert answer.status_code in (404, 422) or path.endswith("/apply/"), path
            assert everything() == before, path


def test_a_colleagues_client_in_a_form_changes_nothing(desk: Membership, now: datetime, as_coach: Browser) -> None:
    mine = one_of_everything(desk, now)
    other = ClientFactory(coach=MembershipFactory(practice=desk.practice), name="Colleague's own")
    template = PlannedSessionFactory(program=ProgramFactory(coach=desk)).block.program
    before = everything()
    new = {"name": "P", "weeks": 2, "client": other.pk, "start_on": MONDAY}
    assert as_coach.post("/programs/new/", new).status_code == 422
    given = {"client": other.pk, "start_on": MONDAY}
    assert as_coach.post(f"/programs/{mine['program'][0]}/assign/", given).status_code == 422
    for path in (
        f"/programs/{template.pk}/?for={other.pk}",
        f"/?coach={other.coach_id}",
        f"/clients/?after={other.pk}",
    ):
        answer = as_coach.get(path)
        assert answer.status_code == 200
        assert "Colleague" not in answer.content.decode()
    assert everything() == before


@pytest.mark.parametrize("who", ["coach", "owner"])
def test_fields_no_form_shows_are_not_taken(
    desk: Membership, owner: Membership, stranger: Membership, now: datetime, who: str,
    as_coach: Browser, as_owner: Browser,
) -> None:  # fmt: skip
    client = ClientFactory(coach=desk)
    theirs = one_of_everything(stranger, now)
    smuggled = {
        "practice": stranger.practice_id, "practice_id": stranger.practice_id, "archived_on": "2020-01-01",
        "id": theirs["client"][0], "pk": theirs["client"][0], "folded": "x", "coach_id": stranger.pk,
        "place_id": theirs["place"][0],
    }  # fmt: skip
    browser = as_coach if who == "coach" else as_owner
    answer = browser.post(f"/clients/{client.pk}/edit/", {**PROFILE, "coach": desk.pk, "version": 1, **smuggled})
    assert answer.status_code == 302
    row = Client.objects.get(pk=client.pk)
    kept = (row.name, row.folded, row.practice_id, row.coach_id, row.place_id, row.archived_on)
    assert kept == ("N", "n", desk.practice_id, desk.pk, None, None)


def test_only_the_owner_gives_a_client_to_somebody_and_never_to_a_stranger(
    desk: Membership, owner: Membership, stranger: Membership, as_coach: Browser, as_owner: Browser
) -> None:
    client, other = ClientFactory(coach=desk), MembershipFactory(practice=desk.practice)
    assert as_coach.post(f"/clients/{client.pk}/edit/", {**PROFILE, "coach": other.pk, "version": 1}).status_code == 302
    client.refresh_from_db()
    assert client.coach_id == desk.pk
    form = {**PROFILE, "coach": stranger.pk, "version": client.version}
    assert as_owner.post(f"/clients/{client.pk}/edit/", form).status_code == 422
    client.refresh_from_db()
    assert client.coach_id == desk.pk
