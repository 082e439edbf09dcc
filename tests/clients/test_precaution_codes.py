"""The kinds of precaution and the spotters of a place that the desk can watch for."""

from datetime import datetime

from django.test import Client as Browser

from clients import services
from clients.models import Place, Precaution
from coachdesk.practice.models import Membership
from tests.factories.clients import ClientFactory, PlaceFactory


def test_a_precaution_may_name_its_kind(desk: Membership, as_coach: Browser) -> None:
    rosa = ClientFactory(coach=desk, name="Rosa")
    typed = {"words": "Tablets since May", "code": "high_blood_pressure"}
    assert as_coach.post(f"/clients/{rosa.pk}/precautions/new/", typed).status_code == 302
    assert Precaution.objects.get().code == "high_blood_pressure"
    assert "High blood pressure" in as_coach.get(f"/clients/{rosa.pk}/").content.decode()
    wrong = as_coach.post(f"/clients/{rosa.pk}/precautions/new/", {"words": "Knee", "code": "no_wings"})
    assert list(wrong.context["form"].errors) == ["code"]


def test_a_place_says_whether_there_is_a_spotter(desk: Membership, as_coach: Browser, now: datetime) -> None:
    place = PlaceFactory(practice=desk.practice, name="Garage")
    typed = {"name": "Garage", "spotter": "no", "version": place.version}
    assert as_coach.post(f"/places/{place.pk}/edit/", typed).status_code == 302
    kept = Place.objects.get(pk=place.pk)
    assert (kept.name, kept.spotter) == ("Garage", "no")
    assert "Neither spotter nor safeties" in as_coach.get(f"/places/{place.pk}/").content.decode()
    services.rename_place(by=desk, place=kept, version=kept.version, now=now, name="Loft")
    assert Place.objects.get(pk=place.pk).spotter == "no"
