"""Training at another place: the same session with the loads of that place, and a log that says where it was."""

import pytest
from django.urls import reverse

from coachdesk.engine import Barbell
from programs.logs.models import PhoneEntry, SessionLog
from programs.models import IssuedSheet
from tests.factories.clients import EquipmentFactory, PlaceFactory
from tests.factories.phone import planned_for
from tests.hostile.pages import read_page

pytestmark = pytest.mark.django_db
# A bar of 15 kg with tens only: 75 % of 100 kg is made as 75 kg in the gym and as 55 or 75 at home.
HOME_BAR = Barbell("Home bar", "kg", 15_000, ((10_000, 6),))


@pytest.fixture
def home(desk):
    place = PlaceFactory(practice=desk.practice, name="Home")
    EquipmentFactory(place=place, value=HOME_BAR)
    return place


@pytest.fixture
def sheet(linked, gym, home, desk):
    PlaceFactory(practice=desk.practice, name="Somebody else's garage")
    return planned_for(linked, gym, home)


def page_of(browser, sheet):
    return browser.get(reverse("phone:place", args=[sheet.pk])).content.decode()


def chosen(browser, sheet, **more):
    url = reverse("phone:place", args=[sheet.pk])
    form = next(form for form in read_page(url, page_of(browser, sheet))[0] if form.route == "phone:place")
    return url, {**dict(form.pairs), **more}


def loads(sheet):
    return {step["load"] for step in sheet.body["exercises"][0]["steps"]}


def test_only_places_of_the_clients_own_plan_are_named(as_client, sheet):
    page = page_of(as_client, sheet)
    assert "Home</button>" in page
    assert "garage" not in page


def test_the_session_is_handed_out_anew_with_loads_that_can_be_made_there(as_client, sheet, home):
    url, form = chosen(as_client, sheet, place=str(home.pk))
    answers = [as_client.post(url, form) for _ in range(3)]
    assert {answer["Location"] for answer in answers} == {answers[0]["Location"]}
    made = IssuedSheet.objects.latest("id")
    assert answers[0]["Location"] == reverse("phone:session", args=[made.pk])
    assert (made.body["place"], PhoneEntry.objects.filter(kind="place").count()) == ("Home", 1)
    assert loads(sheet) == {80_000}
    assert loads(made) == {75_000}
    session = reverse("phone:session", args=[made.pk])
    first = dict(read_page(session, as_client.get(session).content.decode())[0][0].pairs)
    as_client.post(f"{session}entries/", first)
    assert SessionLog.objects.get().place == home


def test_once_begun_a_session_stays_where_it_is(as_client, sheet, home):
    url, form = chosen(as_client, sheet, place=str(home.pk))
    session = reverse("phone:session", args=[sheet.pk])
    as_client.post(f"{session}entries/", dict(read_page(session, as_client.get(session).content.decode())[0][0].pairs))
    refused = as_client.post(url, form)
    assert refused.status_code == 422
    assert "finish it here" in refused.content.decode()


@pytest.mark.parametrize("place", ["", "0", "x", "-1", "9" * 30, "999999"])
def test_a_place_that_is_not_offered_is_refused(as_client, sheet, place):
    url, form = chosen(as_client, sheet, place=place)
    assert as_client.post(url, form).status_code == 422
    assert IssuedSheet.objects.count() == 1
