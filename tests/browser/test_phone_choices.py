"""Choices of the day without a signal: another exercise, fewer minutes, a set more, one side alone, another place."""

import pytest
from django.urls import reverse

from programs.logs.models import ClientMessage, Departure, PhoneEntry, SessionLog, SetLog
from programs.models import IssuedSheet
from tests.browser.answers import until
from tests.browser.rules import broken_rules
from tests.factories.clients import PlaceFactory
from tests.factories.phone import planned_for
from tests.factories.programs import ExerciseFactory


@pytest.fixture(autouse=True)
def _cut(phone):
    """The browser complains of the network that is cut here and of the worker's own answers without one."""
    phone.forgive("net::ERR_", "503")


@pytest.fixture
def other(handed):
    return ExerciseFactory(practice=handed.client.practice, name="Floor press")


def path(sheet):
    return reverse("phone:session", args=[sheet.pk])


def kept(page, *addresses):
    """Wait until the worker has these pages."""
    found = "async (all) => (await Promise.all(all.map(at => caches.match(at)))).every(Boolean)"
    until(page, lambda: page.evaluate(found, list(addresses)))


def held(phone, sheet, *more):
    """The session's page, cut off once it is kept together with the pages where something is chosen."""
    page = phone.go(path(sheet))
    page.wait_for_function("async () => (await navigator.serviceWorker.ready) && navigator.serviceWorker.controller")
    swaps = [f"exercises/{one['position']}/swap/" for one in sheet.body["exercises"]]
    kept(page, path(sheet), *(f"{path(sheet)}{one}" for one in ("shorter/", *swaps, *more)))
    page.context.set_offline(True)
    return page


def sent(page):
    page.context.set_offline(False)
    until(page, lambda: not page.evaluate("async () => (await window.phoneStore.all()).length"))


def swapped(page, other):
    page.click("#lift-1-tools summary")
    page.click("#lift-1-swap")
    page.wait_for_selector("h1:text-is('Instead of Bench press')")
    page.select_option("#why", "equipment taken")
    page.click(f"#swap-{other.pk}")
    page.wait_for_selector("h2:text-is('1. Floor press')")


def test_a_swap_without_a_signal_shows_its_own_sets_and_both_arrive(phone, handed, other):
    page = held(phone, handed)
    swapped(page, other)
    assert "Swapped; on this phone." in page.inner_text("#lift-1")
    assert page.input_value("#s-1-1-1-b-load") == ""
    assert not broken_rules(page)
    page.fill("#s-1-1-1-b-load", "50")
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("#s-1-1-1-b .state")
    assert page.input_value("#s-1-2-1-b-load") == "50"
    page.reload()
    page.wait_for_selector("h2:text-is('1. Floor press')")
    assert "50 kg x 8" in page.inner_text("#s-1-1-1-b")
    assert not SessionLog.objects.exists()
    sent(page)
    page.wait_for_selector("text=Saved on the desk: 1 of 8 sets")
    assert "Instead of Bench press: equipment taken" in page.inner_text("#lift-1")
    assert "on this phone" not in page.inner_text("main")
    row = SetLog.objects.get()
    assert (row.exercise, row.load, Departure.objects.get().instead) == (other, 50_000, other)


def test_the_load_of_a_set_before_a_swap_is_not_carried_over(phone, handed, other):
    page = held(phone, handed)
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("#s-1-1-1-b .state")
    swapped(page, other)
    assert "70 kg x 8, before the swap" in page.inner_text("#s-1-1-1-b")
    assert page.input_value("#s-1-2-1-b-load") == ""
    page.fill("#s-1-2-1-b-load", "50")
    page.click("#s-1-2-1-b-save")
    page.wait_for_selector("#s-1-2-1-b .state")
    sent(page)
    page.wait_for_selector("text=Saved on the desk: 2 of 8 sets")
    rows = SetLog.objects.order_by("set_no").values_list("exercise__name", "load")
    assert list(rows) == [("Bench press", 70_000), ("Floor press", 50_000)]


def test_a_swap_taken_back_without_a_signal_shows_the_plan_again(phone, handed, other):
    page = held(phone, handed)
    swapped(page, other)
    page.click("#lift-1-tools summary")
    page.click("#lift-1-unswap")
    page.wait_for_selector("h2:text-is('1. Bench press')")
    assert page.input_value("#s-1-1-1-b-load") == "70"
    page.click("#s-1-1-1-b-save")
    sent(page)
    page.wait_for_selector("text=Saved on the desk: 1 of 8 sets")
    assert SetLog.objects.get().as_written
    assert not Departure.objects.exists()
    assert PhoneEntry.objects.filter(kind="swap").count() == 2


def test_a_swap_that_the_desk_refuses_leaves_none_of_its_sets_with_the_planned_exercise(phone, handed, other):
    page = held(phone, handed)
    swapped(page, other)
    page.fill("#s-1-1-1-b-load", "50")
    page.click("#s-1-1-1-b-save")
    page.wait_for_selector("#s-1-1-1-b .state")
    other.delete()
    page.context.set_offline(False)
    page.wait_for_selector("text=Not taken by the desk: 2 things")
    page.wait_for_selector("h2:text-is('1. Bench press')")
    assert "Another exercise stands here" in page.inner_text("#unsent-list")
    assert not SetLog.objects.exists()
    assert not broken_rules(page)


def test_less_time_without_a_signal_leaves_out_what_the_desk_worked_out(phone, handed):
    handed.body["exercises"][0]["steps"] = [{**s, "seconds": 40.0} for s in handed.body["exercises"][0]["steps"]]
    handed.save()
    page = held(phone, handed)
    page.click("#shorter")
    page.wait_for_selector("h1:text-is('How many minutes are left?')")
    page.fill("#minutes", "7")
    page.click("#minutes-show")
    page.wait_for_selector("text=A number of your own needs a signal")
    assert not broken_rules(page)
    page.click("#minutes-15")
    page.wait_for_selector("#found h2")
    assert not broken_rules(page)
    places = page.eval_on_selector_all("#found [name=left_out]", "all => all.map(one => one.value)")
    rest = page.input_value("#found [name=rest]")
    assert places or int(rest)
    page.click("#shorten")
    page.wait_for_selector("text=Shortened to 15 min; on this phone.")
    for place in places:
        assert "left out: no time" in page.inner_text(f"#s-{place}")
    assert not broken_rules(page)
    sent(page)
    page.wait_for_selector("text=Shortened to 15 min; change")
    row = PhoneEntry.objects.get()
    assert (row.payload["minutes"], row.payload["left_out"], row.payload["rest_s"]) == (15, places, int(rest))
    assert set(Departure.objects.values_list("place", flat=True)) == set(places)


def test_sets_more_than_planned_are_said_without_a_signal(phone, handed):
    page = held(phone, handed)
    page.click("#lift-1-tools summary")
    for number, reps in ((4, "6"), (5, "5")):
        page.click("#lift-1-more")
        page.fill(f"#s-1-{number}-1-b-load", "60")
        page.fill(f"#s-1-{number}-1-b-reps", reps)
        page.click(f"#s-1-{number}-1-b-save")
        page.wait_for_selector(f"#s-1-{number}-1-b .state")
    page.reload()
    assert "60 kg x 5" in page.inner_text("#s-1-5-1-b")
    sent(page)
    page.wait_for_selector("text=Saved on the desk: 2 of 10 sets")
    assert sorted(SetLog.objects.values_list("set_no", "reps")) == [(4, 6), (5, 5)]


def test_one_side_by_itself_is_said_without_a_signal(phone, handed):
    page = held(phone, handed)
    page.click("#s-3-1-1-b-sides")
    for side, seconds in (("l", "25"), ("r", "30")):
        page.fill(f"#s-3-1-1-{side}-reps", seconds)
        page.click(f"#s-3-1-1-{side}-save")
        page.wait_for_selector(f"#s-3-1-1-{side} .state")
    page.reload()
    assert "25" in page.inner_text("#s-3-1-1-l")
    sent(page)
    page.wait_for_selector("text=Saved on the desk: 2 of 9 sets")
    assert sorted(SetLog.objects.values_list("side", "reps")) == [("l", 25), ("r", 30)]


def test_reasons_pain_and_the_rating_stand_where_they_were_said_until_they_are_sent(phone, handed):
    page = held(phone, handed)
    page.click("#lift-2-tools summary")
    page.click("#lift-2-tools button:text-is('Too tired')")
    page.wait_for_selector("#lift-2 .waits")
    assert "left out: too tired" in page.inner_text("#lift-2 .waits")
    page.click("label[for=rating-7]")
    page.fill("#minutes", "41")
    page.click("#rating-save")
    page.wait_for_selector("#end .waits")
    assert "rating 7, 41 min" in page.inner_text("#end .waits")
    page.fill("#text", "All fine.")
    page.click("#message-send")
    page.wait_for_selector("#messages .waits")
    assert "not sent yet: All fine." in page.inner_text("#messages .waits")
    assert not broken_rules(page)
    sent(page)
    page.wait_for_selector("text=rating 7")
    until(page, lambda: page.locator(".waits").count() == 0)
    assert SessionLog.objects.get().rating == 7


def test_another_place_says_why_it_needs_a_signal_and_is_chosen_once_there_is_one(phone, linked, gym, desk):
    sheet = planned_for(linked, gym, PlaceFactory(practice=desk.practice, name="Home"))
    page = held(phone, sheet, "place/")
    page.click("#elsewhere")
    page.click("button:text-is('Home')")
    page.wait_for_selector("#refused:text('This needs a signal')")
    assert not broken_rules(page)
    page.context.set_offline(False)
    page.click("button:text-is('Home')")
    page.wait_for_selector("h1:text-is('Upper A')")
    assert page.url.endswith(path(IssuedSheet.objects.latest("id")))
    assert IssuedSheet.objects.count() == 2


def test_nothing_is_kept_ahead_where_data_are_to_be_saved(phone, handed):
    page = phone.page
    asked = []
    page.context.on("request", lambda request: asked.append(request.url))
    page.add_init_script("Object.defineProperty(navigator, 'connection', {get: () => ({saveData: true})})")
    page.add_init_script("const later = setTimeout; window.setTimeout = (act, ms) => later(act, ms === 4000 ? 0 : ms)")
    phone.go(path(handed))
    kept(page, path(handed))
    page.wait_for_load_state("networkidle")
    assert not [url for url in asked if url.endswith(("/swap/", "/shorter/"))]


# A message from the first page


def test_a_message_from_the_first_page_waits_for_a_signal_and_arrives_once(phone, linked, handed):
    page = phone.go("/my/")
    page.wait_for_function("async () => (await navigator.serviceWorker.ready) && navigator.serviceWorker.controller")
    kept(page, "/my/")
    page.context.set_offline(True)
    page.fill("#text", "My knee is fine again.")
    page.click("#message-send")
    page.wait_for_selector("#messages .waits")
    assert "On this phone, not sent yet: My knee is fine again." in page.inner_text("#messages .waits")
    assert page.input_value("#text") == ""
    assert page.inner_text("#unsent-words") == "On this phone, not sent yet: 1 thing."
    assert not broken_rules(page)
    page.reload()
    page.wait_for_selector("#messages .waits")
    assert not ClientMessage.objects.exists()
    sent(page)
    page.wait_for_selector("text=not answered yet")
    assert page.locator(".waits").count() == 0
    assert (ClientMessage.objects.get().text, ClientMessage.objects.get().sheet) == ("My knee is fine again.", None)


def test_an_empty_message_is_refused_with_words(phone, linked, handed):
    page = phone.go("/my/")
    page.wait_for_function("() => window.phoneStore.ready")
    page.click("#message-send")
    page.wait_for_selector("text=Write your message first")
    assert not ClientMessage.objects.exists()
