"""Adding a client: what is kept, what is refused at its field, and nothing typed lost."""

from datetime import date

import pytest
from django.test import Client as Browser

from clients.models import Client
from coachdesk.practice.models import Membership
from tests.factories.clients import PlaceFactory
from tests.factories.practice import MembershipFactory

GOOD = {
    "name": "Zoë Ström", "goal": "size", "level": "novice", "days_per_week": "3", "minutes_per_session": "60",
    "unit": "kg", "time_zone": "Europe/Lisbon", "notes": "",
}  # fmt: skip


def test_a_client_is_made_and_belongs_to_who_made_them(desk: Membership, as_coach: Browser) -> None:
    place = PlaceFactory(practice=desk.practice)
    more = {"born_on": "31.03.1984", "training_since_on": "2024-02-29", "place": str(place.pk)}
    answer = as_coach.post("/clients/new/", {**GOOD, **more})
    client = Client.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"/clients/{client.pk}/")
    assert (client.coach, client.practice, client.folded) == (desk, desk.practice, "zoe strom")
    assert (client.born_on, client.training_since_on) == (date(1984, 3, 31), date(2024, 2, 29))


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("name", "", "required"),
        ("name", "   ", "required"),
        ("name", "...", "holds no letter"),
        ("name", "x" * 121, "120"),
        ("name", "a" + "\u0301" * 10_000, ""),
        ("notes", "a" + "\u0301" * 10_000, ""),
        ("notes", "a" + "\u0335" * 30, "piles 30 combining marks"),
        ("notes", "x" * 4001, "4000"),
        ("days_per_week", "0", "0 days is outside the range"),
        ("days_per_week", "8", "8 days is outside the range"),
        ("days_per_week", "-1", "'-1' is no whole number"),
        ("days_per_week", "NaN", "'NaN' is no whole number"),
        ("days_per_week", "2,5", "'2,5' is no whole number"),
        ("days_per_week", "1e400", "no whole number"),
        ("days_per_week", "9" * 400, "no whole number"),
        ("days_per_week", "", "required"),
        ("minutes_per_session", "9", "from 10 to 240"),
        ("minutes_per_session", "1000", "1000 minutes is outside"),
        ("born_on", "2026-02-30", "'2026-02-30' is no date"),
        ("born_on", "yesterday", "'yesterday' is no date"),
        ("born_on", "0001-01-01", "cannot be a birth date"),
        ("born_on", "9999-12-31", "cannot be a birth date"),
        ("training_since_on", "9999-12-31", "is in the future"),
        ("goal", "power", "power"),
        ("unit", "stone", "stone"),
        ("time_zone", "Lisbon", "'Lisbon' is not a time zone"),
        ("time_zone", "../../etc/passwd", "is not a time zone"),
        ("time_zone", "\x00", ""),
        ("place", "999999", ""),
        ("place", "9" * 40, ""),
        ("place", "x", ""),
    ],
)
def test_a_bad_value_is_an_error_at_its_field_and_stays_typed(
    as_coach: Browser, field: str, value: str, said: str
) -> None:
    answer = as_coach.post("/clients/new/", {**GOOD, field: value})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert said in " ".join(answer.context["form"].errors[field])
    assert answer.context["form"]["name"].value() == (value if field == "name" else "Zoë Ström")
    assert not Client.objects.exists()


def test_training_before_birth_is_refused(as_coach: Browser) -> None:
    answer = as_coach.post("/clients/new/", {**GOOD, "born_on": "1990-01-01", "training_since_on": "1980-01-01"})
    assert "lies before the birth date" in answer.content.decode()


def test_nul_is_dropped_and_text_is_normalised(as_coach: Browser) -> None:
    as_coach.post("/clients/new/", {**GOOD, "name": "Zo\x00e\u0308", "notes": "a\x00b"})
    client = Client.objects.get()
    assert (client.name, client.notes) == ("Zoë", "ab")


def test_markup_in_a_name_is_shown_as_text(as_coach: Browser) -> None:
    as_coach.post("/clients/new/", {**GOOD, "name": "<img src=x onerror=alert(1)>"})
    page = as_coach.get(f"/clients/{Client.objects.get().pk}/").content.decode()
    assert "<img src=x" not in page


def test_only_the_owner_chooses_the_coach(
    desk: Membership, owner: Membership, as_owner: Browser, as_coach: Browser, stranger: Membership
) -> None:
    assert as_owner.post("/clients/new/", {**GOOD, "coach": str(desk.pk)}).status_code == 302
    assert Client.objects.get().coach == desk
    other = MembershipFactory(practice=desk.practice)
    assert as_coach.post("/clients/new/", {**GOOD, "coach": str(other.pk)}).status_code == 302
    assert Client.objects.latest("id").coach == desk
    assert as_owner.post("/clients/new/", {**GOOD, "coach": str(stranger.pk)}).status_code == 422


def test_a_place_of_another_practice_cannot_be_chosen(as_coach: Browser) -> None:
    assert as_coach.post("/clients/new/", {**GOOD, "place": str(PlaceFactory().pk)}).status_code == 422


def test_an_empty_form_lists_what_is_missing(as_coach: Browser) -> None:
    answer = as_coach.post("/clients/new/", {})
    assert answer.status_code == 422
    assert "name" in answer.context["form"].errors


def test_an_assistant_reads_only(as_assistant: Browser) -> None:
    assert as_assistant.get("/clients/new/").status_code == 403
    assert as_assistant.post("/clients/new/", GOOD).status_code == 403
    assert not Client.objects.exists()
