"""'I have 25 minutes' on the phone: what is proposed, said, kept and taken back."""

import re

import pytest
from django.urls import reverse

from programs.logs.models import Departure, PhoneEntry, SessionLog
from tests.factories.logs import exercise_body, straight_sets
from tests.factories.programs import ExerciseFactory
from tests.hostile.pages import as_seen, read_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(handed):
    """Presses and rows, three sets of 30 s each with 2 min of rest; rows share no muscle and no station with them."""
    practice = handed.client.practice
    press = ExerciseFactory(practice=practice, name="Press")
    row = ExerciseFactory(
        practice=practice, name="Row", equipment_kind="dumbbell", pattern="horizontal_pull",
        muscles={"lats": 1000, "biceps": 500},
    )  # fmt: skip
    sets = straight_sets(3, seconds=30.0)
    handed.body["exercises"] = [exercise_body(press, 1, sets), exercise_body(row, 2, sets)]
    handed.save()
    return reverse("phone:session", args=[handed.pk])


def proposal(browser, url, minutes):
    """(the page, the form that takes it)."""
    page = browser.get(f"{url}shorter/", {"minutes": minutes}).content.decode()
    page = as_seen(page)
    forms, _ = read_page(f"{url}shorter/", page)
    found = [form.pairs for form in forms if ("kind", "short") in form.pairs and ("minutes", "0") not in form.pairs]
    return page, found[0] if found else []


def take(browser, url, pairs):
    fields = {name: [value for key, value in pairs if key == name] for name, _ in pairs}
    return browser.post(f"{url}entries/", fields)


# Each exercise: 60 s to set up, three sets of 30 s, two rests of 120 s: 390 s, 13 minutes for both.
def test_what_fits_gives_nothing(as_client, url):
    page, form = proposal(as_client, url, 13)
    assert "It fits as it is" in page
    assert not form


def test_exercises_in_turn_come_first_and_lose_no_set(as_client, url):
    # In turn: 120 to set up, 3 x (30 + 15 + 30), twice 15 and what 120 s of rest lack: 60. So 495 s.
    page, form = proposal(as_client, url, 9)
    assert "About 9 min instead of 13" in page
    assert "Press and Row in turn, a set of each" in page
    assert "fewer" not in page.split("What has to give")[1].split("</ul>")[0]
    take(as_client, url, form)
    page = as_client.get(url).content.decode()
    assert "In turn with Row, a set of each." in page
    assert "Shortened to 9 min" in page
    # No rest before the other exercise; after it what its 30 s and twice 15 s of walking have not given of 120 s.
    assert "then Row at once" in page
    assert 'data-rest="0"' in page
    assert 'data-rest="60"' in page
    answer = as_client.post(f"{url}entries/", dict(read_page(url, page)[0][0].pairs))
    assert answer["Location"].endswith("#s-2-1-1-b")


def test_less_time_takes_rests_and_then_sets_and_says_so(as_client, url):
    page, form = proposal(as_client, url, 5)
    assert "no rest longer than 1 min" in page
    assert re.search(r"(Press|Row): \d sets? fewer", page)
    assert "No set goes nearer to failure than planned" in page
    assert re.search(r"Chest \d of 3 sets", page)
    assert not SessionLog.objects.exists()
    for _ in range(2):
        take(as_client, url, form)
    assert PhoneEntry.objects.filter(kind="short").count() == 1
    assert set(Departure.objects.values_list("why", flat=True)) == {"no time: 5 min"}
    assert "left out: no time: 5 min" in as_client.get(url).content.decode()
    page = as_seen(as_client.get(f"{url}shorter/").content.decode())
    whole = next(form.pairs for form in read_page(f"{url}shorter/", page)[0] if ("minutes", "0") in form.pairs)
    take(as_client, url, whole)
    assert not Departure.objects.exists()
    assert "Short of time?" in as_client.get(url).content.decode()


def test_sets_that_are_done_stay_and_count(as_client, url):
    first = dict(read_page(url, as_client.get(url).content.decode())[0][0].pairs)
    as_client.post(f"{url}entries/", first)
    page, form = proposal(as_client, url, 5)
    assert ("left_out", "1-1-1-b") not in form
    assert re.search(r"Chest [123] of 3 sets", page)


@pytest.mark.parametrize("minutes", ["", "4", "181", "x", "-1", "1e9", "\u00b2", "9" * 50, "\x00"])
def test_minutes_that_cannot_be_are_refused_or_show_nothing(as_client, url, minutes):
    answer = as_client.get(f"{url}shorter/", {"minutes": minutes})
    assert answer.status_code == (422 if minutes else 200)
    page = as_seen(answer.content.decode())
    assert "Do it this way" not in page
    assert "It fits as it is" not in page


@pytest.mark.parametrize(
    "bad", [{"left_out": ["9-1-1-b"]}, {"left_out": ["x" * 99]}, {"pairs": ["1-9"]}, {"pairs": ["x"]}, {"rest": "-1"},
            {"minutes": "999"}, {"left_out": ["1-1-1-b"] * 500}],
)  # fmt: skip
def test_a_proposal_that_no_page_made_is_refused(as_client, url, bad):
    fields = {"kind": "short", "key": "0" * 31 + "1", "minutes": "20", "rest": "60", "left_out": [], "pairs": [], **bad}
    assert as_client.post(f"{url}entries/", fields).status_code == 422
    assert not SessionLog.objects.exists()
