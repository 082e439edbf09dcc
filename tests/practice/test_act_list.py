"""The list of changes: everything for the owner, one's own for the rest, nothing of another practice."""

from datetime import datetime

from django.test import Client as Browser

from clients import services
from coachdesk.practice.models import Membership


def test_the_owner_sees_everybodys_changes_and_a_coach_their_own(
    desk: Membership, owner: Membership, as_coach: Browser, as_owner: Browser, now: datetime
) -> None:
    services.create_place(by=desk, now=now, name="Barn")
    services.create_place(by=owner, now=now, name="Loft")
    assert [act.label for act in as_owner.get("/acts/").context["acts"]] == ["Add place Loft", "Add place Barn"]
    assert [act.label for act in as_coach.get("/acts/").context["acts"]] == ["Add place Barn"]


def test_another_practices_changes_are_not_shown(
    desk: Membership, as_stranger: Browser, as_assistant: Browser, now: datetime
) -> None:
    services.create_place(by=desk, now=now, name="Barn")
    assert "Barn" not in as_stranger.get("/acts/").content.decode()
    assert "Every change is listed here" in as_assistant.get("/acts/").content.decode()


def test_script_in_a_label_is_shown_as_text(desk: Membership, as_coach: Browser, now: datetime) -> None:
    services.create_place(by=desk, now=now, name="<script>alert(1)</script>")
    page = as_coach.get("/acts/").content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


def test_the_number_of_queries_does_not_grow(
    desk: Membership, as_coach: Browser, now: datetime, django_assert_max_num_queries
) -> None:
    for n in range(25):
        services.create_place(by=desk, now=now, name=f"Barn {n}")
    with django_assert_max_num_queries(10):
        assert as_coach.get("/acts/").status_code == 200
